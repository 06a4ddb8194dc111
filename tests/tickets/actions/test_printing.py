"""Many papers in the background: one after the other, each kept at once, nothing made twice and nothing lost."""

import datetime
import io

import pypdfium2
import pytest
from django.utils import timezone

from labcases.people.refusals import Conflict, NotAllowed, Refused
from labcases.tickets.actions import issuing, printing
from labcases.tickets.actions.printing import ask_for_papers, print_again, print_papers, put_old_prints_away
from labcases.tickets.choices import RunState
from labcases.tickets.models import PrintLine, PrintRun, WorkTicket
from labcases.tickets.pdf import Sheet
from tests.bench.benchwork import waiting_stage
from tests.factories.people import ManagerFactory, TechnicianFactory
from tests.factories.tickets import PrintRunFactory

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def short_sheets(monkeypatch):
    """Sheets that are set in no time; what a paper says is tested elsewhere."""

    def sheet(facts, imprint, *, paper):
        said = f"{imprint.code} {facts.title}"
        return Sheet(f'<!doctype html><html lang="en"><title>{said}</title><p>{said}</p></html>', ())

    monkeypatch.setattr(issuing, "ticket_sheet", sheet)


@pytest.fixture
def manager():
    return ManagerFactory()


@pytest.fixture
def stages():
    return [waiting_stage(kind="processing"), waiting_stage(kind="custom_tray")]


def ask(stages, by, **more):
    (run,) = ask_for_papers(stages=stages, paper="a4", by=by, now=timezone.now(), **more)
    return run


def make(run):
    words = print_papers.call(pk=run.pk, attempt=run.attempt)
    run.refresh_from_db()
    return words


def pages_of(pdf: bytes) -> int:
    document = pypdfium2.PdfDocument(io.BytesIO(pdf))
    try:
        return len(document)
    finally:
        document.close()


def test_they_are_made_in_order_and_put_together(stages, manager, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks() as enqueued:
        run = ask(stages, manager)
    assert (run.state, len(enqueued)) == (RunState.QUEUED, 1)
    make(run)
    lines = list(run.lines.all())
    assert [line.ticket.stage for line in lines] == stages
    assert (run.state, run.pages) == (RunState.READY, sum(line.ticket.pages for line in lines))
    assert pages_of(bytes(run.pdf)) == run.pages
    for line in lines:
        assert line.stage.events.filter(act="ticket", by=manager).count() == 1


@pytest.mark.parametrize(("papers", "shares"), [(1, [1]), (4, [4]), (5, [3, 2]), (8, [4, 4]), (9, [3, 3, 3])])
def test_many_are_shared_out_to_runs_of_nearly_one_length(papers, shares, manager, monkeypatch):
    monkeypatch.setattr(printing, "MOST_IN_A_RUN", 4)
    stages = [waiting_stage(kind="processing")] * papers
    runs = ask_for_papers(stages=stages, paper="a4", by=manager, now=timezone.now())
    assert [run.lines.count() for run in runs] == shares
    positions = PrintLine.objects.order_by("run_id", "position").values_list("position", flat=True)
    assert list(positions) == list(range(1, papers + 1))


def test_the_first_can_be_opened_while_the_rest_is_made(stages, manager, monkeypatch):
    run, seen = ask(stages, manager), []
    beat = printing._beat

    def look(of):
        seen.append([bool(line.ticket_id) for line in PrintLine.objects.filter(run=of)])
        return beat(of)

    monkeypatch.setattr(printing, "_beat", look)
    make(run)
    assert seen == [[False, False], [True, False]]


def test_one_that_cannot_be_printed_is_named_and_the_rest_is_made(stages, manager):
    bad = waiting_stage(base_material="")
    run = ask([bad, *stages], manager)
    make(run)
    assert run.state == RunState.READY
    assert "not ready for the bench" in run.lines.get(stage=bad).failure
    assert [line.ticket is not None for line in run.lines.all()] == [False, True, True]


def test_where_none_can_be_printed_the_run_has_failed(manager):
    run = ask([waiting_stage(base_material="")], manager)
    make(run)
    assert (run.state, run.failure) == (RunState.FAILED, "None of the papers could be made.")


def test_a_fault_in_the_midst_loses_no_paper_and_can_be_gone_on_with(stages, manager, monkeypatch):
    run, issue = ask(stages, manager), printing.issue_for_print

    def faulty(**given):
        if given["stage"] == stages[1]:
            raise RuntimeError("out of ink")
        return issue(**given)

    monkeypatch.setattr(printing, "issue_for_print", faulty)
    with pytest.raises(RuntimeError):
        make(run)
    run.refresh_from_db()
    assert (run.state, run.failure) == (RunState.FAILED, "RuntimeError: out of ink")
    first = run.lines.first().ticket
    monkeypatch.undo()
    print_again(run=run, by=manager, now=timezone.now())
    run.refresh_from_db()
    assert run.attempt == 2
    make(run)
    assert run.state == RunState.READY
    assert run.lines.first().ticket == first
    assert WorkTicket.objects.count() == 2


def test_a_job_that_was_given_back_goes_on(stages, manager):
    run = ask(stages, manager)
    PrintRun.objects.filter(pk=run.pk).update(state=RunState.RUNNING)
    make(run)
    assert run.state == RunState.READY
    assert "not taken up" in make(run)


def test_a_worker_given_up_for_dead_ends_nothing(stages, manager, monkeypatch):
    run = ask(stages, manager)

    def overtaken(of):
        PrintRun.objects.filter(pk=of.pk).update(attempt=9)
        return real(of)

    real = printing._beat
    monkeypatch.setattr(printing, "_beat", overtaken)
    assert "given up" in print_papers.call(pk=run.pk, attempt=1)
    run.refresh_from_db()
    assert (run.state, bytes(run.pdf)) == (RunState.RUNNING, b"")


def test_what_is_under_way_or_done_is_not_begun_anew(stages, manager):
    run = ask(stages, manager)
    with pytest.raises(Conflict):
        print_again(run=run, by=manager, now=timezone.now())
    print_again(run=run, by=manager, now=timezone.now() + datetime.timedelta(minutes=5))


def test_who_may_and_what_is_asked(stages, manager):
    with pytest.raises(NotAllowed):
        ask(stages, TechnicianFactory())
    with pytest.raises(Refused, match="at least one"):
        ask([], manager)
    with pytest.raises(Refused, match="Choose the paper"):
        ask_for_papers(stages=stages, paper="a5", by=manager, now=timezone.now())


def test_the_whole_print_is_put_away_after_two_days():
    old = PrintRunFactory(pdf=b"%PDF", pages=3, state=RunState.READY)
    new = PrintRunFactory(pdf=b"%PDF", pages=3, state=RunState.READY, asked_at=timezone.now())
    assert put_old_prints_away(now=timezone.now()) == 1
    for run, pages in ((old, 0), (new, 3)):
        run.refresh_from_db()
        assert (run.pages, bool(bytes(run.pdf))) == (pages, pages > 0)
