"""The page of many papers that are being made."""

import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.tickets.actions import printing
from labcases.tickets.choices import RunState
from labcases.tickets.models import PrintRun
from tests.bench.benchwork import form, text, waiting_stage
from tests.factories.people import ManagerFactory
from tests.factories.tickets import PrintLineFactory, PrintRunFactory, WorkTicketFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager(client):
    user = ManagerFactory()
    client.force_login(user)
    return user


def address(run, route="print_run"):
    return reverse(f"office:{route}", args=[run.pk])


def a_run(**more):
    run = PrintRunFactory(asked_at=timezone.now(), **more)
    lines = [PrintLineFactory(run=run) for _ in range(2)]
    type(lines[0]).objects.filter(pk=lines[0].pk).update(ticket=WorkTicketFactory(stage=lines[0].stage))
    return run


def test_more_than_five_are_made_in_the_background(client, manager):
    stages = [waiting_stage(kind="processing", wanted_in_days=0) for _ in range(6)]
    type(stages[0]).objects.update(due_on=timezone.localdate())
    sent = form(stage=None, paper="a4") | {"stage": [stage.pk for stage in stages]}
    answer = client.post(reverse("office:tickets"), sent)
    run = PrintRun.objects.get()
    assert answer.url == address(run)
    assert client.post(reverse("office:tickets"), sent).url == answer.url
    assert [line.stage for line in run.lines.all()] == stages
    assert "Waiting for the worker: 0 of 6." in text(client.get(answer.url))
    assert address(run) in client.get(reverse("office:tickets")).text


def test_of_many_papers_each_run_leads_to_the_others(client, manager, monkeypatch):
    monkeypatch.setattr(printing, "MOST_IN_A_RUN", 4)
    stages = [waiting_stage(kind="processing", wanted_in_days=0) for _ in range(6)]
    type(stages[0]).objects.update(due_on=timezone.localdate())
    answer = client.post(
        reverse("office:tickets"), form(stage=None, paper="a4") | {"stage": [stage.pk for stage in stages]}
    )
    first, second = PrintRun.objects.order_by("pk")
    assert answer.url == address(first)
    PrintRun.objects.filter(pk=first.pk).update(state=RunState.READY, pdf=b"%PDF-1.7", pages=6)
    page = client.get(address(first))
    assert "1 to 3: made" in text(page)
    assert "4 to 6: waiting for the worker" in text(page)
    assert address(second) in page.text
    assert "hx-trigger" in page.text, "what is said of the other run changes too"
    long_ago = timezone.now() - datetime.timedelta(minutes=5)
    PrintRun.objects.update(asked_at=long_ago)
    assert "hx-trigger" not in client.get(address(first)).text, "nobody is at work on the other"
    PrintRun.objects.update(state=RunState.READY, asked_at=timezone.now())
    assert "hx-trigger" not in client.get(address(first)).text


def test_a_run_that_waits_for_its_turn_is_not_said_to_be_forgotten(client, manager):
    long_ago = timezone.now() - datetime.timedelta(minutes=5)
    run = PrintLineFactory(run__asked_at=long_ago).run
    other = PrintRunFactory(asked_at=long_ago, state=RunState.RUNNING, beat_at=timezone.now())
    assert "Waiting for the worker" in text(client.get(address(run)))
    PrintRun.objects.filter(pk=other.pk).update(beat_at=long_ago)
    assert "No background worker answers." in text(client.get(address(run)))


def test_the_progress_is_a_fragment_that_asks_again_until_it_is_done(client, manager):
    run = a_run(state=RunState.RUNNING, beat_at=timezone.now())
    page = client.get(address(run))
    made = run.lines.first()
    assert "Being made: 1 of 2." in text(page)
    assert reverse("ticket_pdf", args=[made.ticket.code]) in page.text
    fragment = client.get(address(run), headers={"HX-Request": "true"}).text
    assert fragment.startswith('<div id="print-run" hx-get=')
    PrintRun.objects.update(state=RunState.READY, pdf=b"%PDF-1.7", pages=4)
    page = client.get(address(run))
    assert "hx-trigger" not in page.text
    assert "4 pages" in text(page)
    pdf = client.get(address(run, "print_run_pdf"))
    assert (pdf["Content-Type"], pdf.content) == ("application/pdf", b"%PDF-1.7")


def test_a_failure_is_shown_with_what_is_there_and_can_be_gone_on_with(client, manager):
    run = a_run(state=RunState.FAILED, failure="RuntimeError: out of ink")
    page = text(client.get(address(run)))
    assert "out of ink" in page
    assert "1 of 2 are made; nothing is lost." in page
    assert client.post(address(run, "print_run_again"), form()).url == address(run)
    run.refresh_from_db()
    assert (run.state, run.attempt) == (RunState.QUEUED, 2)
    assert client.post(address(run, "print_run_again"), form()).status_code == 409


def test_a_worker_that_is_silent_is_said_to_be(client, manager):
    long_ago = timezone.now() - datetime.timedelta(minutes=5)
    run = a_run(state=RunState.RUNNING, beat_at=long_ago)
    page = client.get(address(run))
    assert "No background worker answers." in text(page)
    assert "Go on with the rest" in text(page)
    assert "hx-trigger" not in page.text


def test_a_print_that_was_put_away_has_no_pdf_but_its_papers(client, manager):
    run = a_run(state=RunState.READY)
    assert client.get(address(run, "print_run_pdf")).status_code == 404
    assert "put away after two days" in text(client.get(address(run)))


def test_the_page_asks_as_often_for_three_papers_as_for_one(client, manager, django_assert_num_queries):
    run = a_run(state=RunState.RUNNING, beat_at=timezone.now())
    for _ in range(2):
        with django_assert_num_queries(5):
            client.get(address(run))
        PrintLineFactory(run=run)
