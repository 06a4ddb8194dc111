import datetime
import hashlib
import io
from decimal import Decimal

import pdfplumber
import pytest
from django.db import connection

from labcases.cases.choices import Act, StageKind, StageState
from labcases.cases.models import Case
from labcases.measurements.actions.prescribing import prescribe_dimensions
from labcases.measurements.queries import current_specification
from labcases.people.refusals import Conflict, NotAllowed, Refused
from labcases.tickets.actions import issue_ticket, issue_tickets
from labcases.tickets.actions import issuing as actions
from labcases.tickets.models import WorkTicket
from labcases.tickets.pdf import Sheet
from labcases.tickets.queries import current_ticket
from tests.factories.cases import NOW, taken_in_case
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory

LATER = NOW + datetime.timedelta(hours=3)
pytestmark = pytest.mark.django_db


def text_of(pdf: bytes) -> str:
    with pdfplumber.open(io.BytesIO(pdf)) as paper:
        return "\n".join(page.extract_text() for page in paper.pages)


@pytest.fixture
def short_sheet(monkeypatch):
    """A sheet that is set in no time, for tests that look at what is kept and not at what it says."""

    def sheet(facts, imprint, *, paper):
        said = f"{imprint.code} {paper} {facts.revision} {imprint.at}"
        return Sheet(f'<!doctype html><html lang="en"><title>{facts.title}</title><p>{said}</p></html>', ())

    monkeypatch.setattr(actions, "ticket_sheet", sheet)


@pytest.fixture
def manager():
    return ManagerFactory(display_name="Orla Finch")


@pytest.fixture
def stage(manager):
    case = taken_in_case(by=manager, starts_at=StageKind.CUSTOM_TRAY)
    return case.stages.get(kind=StageKind.CUSTOM_TRAY)


def prescribe(case, by, value, now=LATER):
    prescribe_dimensions(
        case=case,
        prescribed={(StageKind.CUSTOM_TRAY, "maxillary", "tray_thickness"): Decimal(value)},
        by=by,
        now=now,
    )


def test_a_ticket_keeps_the_bytes_that_were_printed(stage, manager):
    ticket = issue_ticket(stage=stage, by=manager, now=NOW)
    kept = WorkTicket.objects.get(pk=ticket.pk)
    assert hashlib.sha256(kept.pdf).hexdigest() == kept.sha256
    assert bytes(kept.pdf).startswith(b"%PDF-1.7")
    assert kept.specification == current_specification(stage.case, stage.kind)
    assert kept.pages >= 2


def test_printing_again_what_has_not_changed_gives_the_same_paper(stage, manager):
    first = issue_ticket(stage=stage, by=manager, now=NOW)
    again = issue_ticket(stage=stage, by=TechnicianFactory(), now=LATER)
    assert again.pk == first.pk
    assert bytes(again.pdf) == bytes(first.pdf)
    assert WorkTicket.objects.count() == 1
    assert stage.case.events.filter(act=Act.TICKET).count() == 1


def test_another_size_of_paper_is_another_paper(stage, manager, short_sheet):
    a4 = issue_ticket(stage=stage, by=manager, now=NOW)
    letter = issue_ticket(stage=stage, by=manager, now=NOW, paper="letter")
    assert letter.pk != a4.pk
    assert letter.code != a4.code


def test_a_changed_figure_makes_a_new_paper_that_says_what_changed(stage, manager):
    old = issue_ticket(stage=stage, by=manager, now=NOW)
    prescribe(stage.case, manager, "2.8")
    new = issue_ticket(stage=stage, by=manager, now=LATER)
    assert new.pk != old.pk
    assert (old.specification.revision, new.specification.revision) == (1, 2)
    assert current_ticket(stage) == new
    text = text_of(bytes(new.pdf))
    assert "Changed since the previous revision" in text
    assert "2.5 mm (2.0 to 3.0) becomes 2.8 mm" in text.replace("\n", " ")


def test_a_changed_day_makes_a_new_paper_of_the_same_revision(stage, manager, short_sheet):
    old = issue_ticket(stage=stage, by=manager, now=NOW)
    stage.due_on = NOW.date() + datetime.timedelta(days=30)
    stage.save(update_fields=["due_on"])
    new = issue_ticket(stage=stage, by=manager, now=LATER)
    assert new.pk != old.pk
    assert new.specification == old.specification


def test_issuing_leaves_an_event_that_names_the_paper(stage, manager, short_sheet):
    ticket = issue_ticket(stage=stage, by=manager, now=NOW)
    event = stage.case.events.get(act=Act.TICKET)
    assert (event.by, event.at, event.stage) == (manager, NOW, stage)
    assert event.after == {"ticket": ticket.pk, "paper": "a4", "revision": 1, "sha256": ticket.sha256}


def test_a_specification_is_issued_first_where_there_is_none(stage, manager, short_sheet):
    case = taken_in_case(by=manager, starts_at=StageKind.RECORD_BASE)
    later = case.stages.get(kind=StageKind.OCCLUSION_RIMS)
    ticket = issue_ticket(stage=later, by=manager, now=NOW)
    assert ticket.specification.stage_kind == StageKind.OCCLUSION_RIMS


def test_a_stage_without_a_specification_has_a_ticket_too(manager):
    case = taken_in_case(by=manager, starts_at=StageKind.MASTER_CAST)
    ticket = issue_ticket(stage=case.stages.get(kind=StageKind.MASTER_CAST), by=manager, now=NOW)
    assert ticket.specification is None
    assert "No specification at this stage" in text_of(bytes(ticket.pdf))


def test_a_clinician_prints_no_work_ticket(stage):
    with pytest.raises(NotAllowed):
        issue_ticket(stage=stage, by=ClinicianFactory(practice=stage.case.practice), now=NOW)


def test_a_stage_of_the_clinic_has_no_work_ticket(stage, manager):
    with pytest.raises(Refused, match="done at the clinic"):
        issue_ticket(stage=stage.case.stages.get(kind=StageKind.TRY_IN), by=manager, now=NOW)


def test_an_incomplete_case_has_no_work_ticket(manager):
    case = taken_in_case(by=manager, sign=False)
    with pytest.raises(Refused, match="prescription incomplete"):
        issue_ticket(stage=case.stages.get(kind=StageKind.CUSTOM_TRAY), by=manager, now=NOW)


def test_an_unknown_paper_is_refused(stage, manager):
    with pytest.raises(Refused, match="A4 or US Letter"):
        issue_ticket(stage=stage, by=manager, now=NOW, paper="a3")


def test_a_revision_issued_while_printing_is_printed_instead(stage, manager, monkeypatch, short_sheet):
    """Between gathering and keeping somebody prescribes another figure: the paper that comes out has it."""
    meanwhile = iter(["2.7"])
    lay_out = actions.lay_out

    def slow(sheet):
        for value in meanwhile:
            prescribe(Case.objects.get(pk=stage.case_id), manager, value)
        return lay_out(sheet)

    monkeypatch.setattr(actions, "lay_out", slow)
    ticket = issue_ticket(stage=stage, by=manager, now=LATER)
    assert ticket.specification.revision == 2
    assert WorkTicket.objects.count() == 1


def test_a_specification_that_never_rests_is_a_conflict(stage, manager, monkeypatch, short_sheet):
    meanwhile = iter(["2.7", "2.8"])
    lay_out = actions.lay_out

    def slow(sheet):
        prescribe(Case.objects.get(pk=stage.case_id), manager, next(meanwhile))
        return lay_out(sheet)

    monkeypatch.setattr(actions, "lay_out", slow)
    with pytest.raises(Conflict):
        issue_ticket(stage=stage, by=manager, now=LATER)
    assert not WorkTicket.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_nothing_is_rendered_inside_a_transaction(monkeypatch, short_sheet):
    manager = ManagerFactory()
    case = taken_in_case(by=manager)
    inside = []
    lay_out = actions.lay_out
    monkeypatch.setattr(
        actions, "lay_out", lambda sheet: inside.append(connection.in_atomic_block) or lay_out(sheet)
    )
    issue_ticket(stage=case.stages.get(kind=StageKind.CUSTOM_TRAY), by=manager, now=NOW)
    assert inside == [False]


def test_a_batch_is_one_document_with_each_tickets_pages(stage, manager):
    other = taken_in_case(by=manager, starts_at=StageKind.RECORD_BASE, patient_code="P-200").stages.get(
        kind=StageKind.RECORD_BASE
    )
    first = issue_ticket(stage=stage, by=manager, now=NOW)
    batch = issue_tickets(stages=[stage, other], by=manager, now=LATER)
    assert [ticket.stage for ticket in batch.tickets] == [stage, other]
    assert batch.tickets[0].pk == first.pk
    assert batch.failures == ()
    assert batch.pages == sum(ticket.pages for ticket in batch.tickets)
    alone = "\n".join(text_of(bytes(ticket.pdf)) for ticket in batch.tickets)
    assert text_of(batch.pdf) == alone


def test_a_batch_prints_what_it_can_and_says_what_it_could_not(stage, manager, short_sheet):
    incomplete = taken_in_case(by=manager, sign=False).stages.get(kind=StageKind.CUSTOM_TRAY)
    batch = issue_tickets(stages=[incomplete, stage], by=manager, now=NOW)
    assert [ticket.stage for ticket in batch.tickets] == [stage]
    assert [failure.stage for failure in batch.failures] == [incomplete]
    assert incomplete.case.number in batch.failures[0].message
    assert batch.pdf.startswith(b"%PDF")


def test_a_batch_of_nothing_is_empty(manager):
    batch = issue_tickets(stages=[], by=manager, now=NOW)
    assert (batch.pdf, batch.pages, batch.tickets, batch.failures) == (b"", 0, (), ())


def test_a_finished_stage_can_still_be_printed(stage, manager, short_sheet):
    stage.state, stage.finished_at, stage.finished_by = StageState.DONE, NOW, manager
    stage.save(update_fields=["state", "finished_at", "finished_by"])
    assert issue_ticket(stage=stage, by=manager, now=LATER).stage == stage
