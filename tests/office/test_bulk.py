"""Many cases at once: looked at first, then done for those for which it can be done."""

import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.cases.actions.moves import start_stage
from labcases.cases.choices import StageState
from labcases.tickets.models import PrintRun
from tests.factories.people import ClinicianFactory, TechnicianFactory
from tests.office.desk import as_manager, case_now, post, receive, refused_to_everybody_else, work_through

pytestmark = pytest.mark.django_db
URL = reverse("office:bulk")
BACK = "/office/cases?q=ZZ"


def mark(case):
    case.refresh_from_db()
    return f"{case.current_stage_id}-{case.current_stage.version}-{case.version}"


def look(client, do, *cases, **more):
    return client.get(URL, {"do": do, "stage": [mark(case) for case in cases], **more})


def told(response, part):
    return {line.ticked.stage.case.number: line.happens or line.obstacle for line in response.context[part]}


def assignee(case):
    case.refresh_from_db()
    return case.current_stage.assignee


def test_only_managers_do_much_at_once(client):
    assert refused_to_everybody_else(client, "office:bulk", method="post")


def test_what_will_happen_to_each_is_shown_and_nothing_is_done(client):
    manager = as_manager(client)
    here, there = case_now(), case_now()
    work_through(there, "definitive_impressions", manager)
    technician = TechnicianFactory()
    events = here.events.count()
    response = look(client, f"give-{technician.pk}", here, there)
    assert told(response, "ready") == {here.number: "Nobody has it yet"}
    assert told(response, "left") == {there.number: "Definitive impressions is done at the clinic."}
    assert f'<option value="{technician.pk}" selected>' in response.content.decode()
    assert here.events.count() == events


def test_those_that_can_be_given_out_are_and_the_others_are_named_with_why(client):
    manager = as_manager(client)
    technician, other = TechnicianFactory(), TechnicianFactory()
    free, taken, away = case_now(), case_now(), case_now()
    work_through(away, "definitive_impressions", manager)
    marks = [mark(case) for case in (free, taken, away)]
    post(client, "office:assign", stage=mark(taken).rpartition("-")[0], to=other.pk)
    answer = post(client, "office:bulk", do="give", stage=marks, to=technician.pk, back=BACK)
    assert answer["Location"] == BACK
    assert [assignee(case) for case in (free, taken)] == [technician, other]
    said = client.get(reverse("office:cases")).content.decode()
    assert f"1 case given to {technician}." in said
    assert f"{taken.number}: Somebody has changed it since the list was loaded" in said
    assert f"{away.number}: Definitive impressions is done at the clinic" in said


def test_a_refusal_of_one_leaves_the_others_done(client, monkeypatch):
    """Changed between being looked at and being locked."""
    as_manager(client)
    first, second, technician = case_now(), case_now(), TechnicianFactory()
    marks = [mark(case) for case in (first, second)]
    monkeypatch.setattr("labcases.office.forms.bulk.BulkForm.overtaken", lambda form, ticked: "")
    post(client, "office:assign", stage=marks[0].rpartition("-")[0], to=TechnicianFactory().pk)
    post(client, "office:bulk", do="give", stage=marks, to=technician.pk)
    assert assignee(first) != technician
    assert assignee(second) == technician
    assert "is no longer as you saw it" in client.get(reverse("office:cases")).content.decode()


def test_work_in_progress_is_held_with_one_reason(client):
    manager = as_manager(client)
    begun, waiting = case_now(), case_now()
    receive(begun, manager)
    begun.refresh_from_db()
    stage = begun.current_stage
    start_stage(stage=stage, by=manager, expected_version=stage.version, now=timezone.now())
    assert told(look(client, "hold", begun, waiting), "left") == {
        waiting.number: "Only work in progress is put on hold."
    }
    asked = post(client, "office:bulk", do="hold", stage=[mark(begun)])
    assert asked.status_code == 422
    assert "Write the reason" in asked.content.decode()
    post(client, "office:bulk", do="hold", stage=[mark(begun), mark(waiting)], reason="No resin")
    stage.refresh_from_db()
    assert (stage.state, stage.hold_reason) == (StageState.ON_HOLD, "No resin")


def test_the_wanted_day_is_moved_where_the_visits_after_it_allow(client):
    as_manager(client)
    roomy, tight = case_now(wanted_in_days=30), case_now(wanted_in_days=4)
    day = timezone.localdate() + datetime.timedelta(days=20)
    first = look(client, "days", roomy, tight)
    assert "Show what that means" in first.content.decode()
    assert not first.context["may_act"]
    shown = look(client, "days", roomy, tight, day=str(day))
    assert told(shown, "left") == {tight.number: "Jaw relation record is wanted before that day."}
    assert "→" in told(shown, "ready")[roomy.number]
    post(client, "office:bulk", do="days", stage=[mark(roomy), mark(tight)], day=str(day))
    roomy.refresh_from_db()
    assert roomy.stages.get(kind="definitive_impressions").due_on == day
    assert roomy.current_stage.due_on < day
    assert tight.stages.get(kind="definitive_impressions").due_on < day
    past = look(client, "days", roomy, day="2020-01-01")
    assert past.status_code == 422
    assert "This day has passed" in past.content.decode()


def test_tickets_are_printed_for_those_that_are_ready_for_the_bench(client):
    manager = as_manager(client)
    ready, incomplete = case_now(), case_now(sign=False)
    receive(ready, manager)
    assert (
        "not ready for the bench"
        in told(look(client, "tickets", ready, incomplete), "left")[incomplete.number]
    )
    marks = [mark(ready), mark(incomplete)]
    answer = post(client, "office:bulk", do="tickets", stage=marks, paper="a4")
    assert answer["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")
    assert ready.current_stage.tickets.count() == 1


@pytest.mark.parametrize(
    ("do", "stages", "words"),
    [
        ("", ["right"], "Choose what to do"),
        ("burn", ["right"], "Choose what to do"),
        ("hold", [], "Tick at least one"),
        ("hold", ["1-1", "x-1-1", "9" * 30 + "-1-1", "999999-1-1"], "Tick at least one"),
    ],
)
def test_what_makes_no_sense_is_refused_in_words(client, do, stages, words):
    as_manager(client)
    case = case_now()
    response = client.get(
        URL, {"do": do, "stage": [mark(case) if each == "right" else each for each in stages]}
    )
    assert response.status_code == 422
    assert words in response.content.decode()


def test_work_is_given_to_the_bench_alone(client):
    as_manager(client)
    case = case_now()
    answer = post(client, "office:bulk", do="give", stage=mark(case), to=ClinicianFactory().pk)
    assert answer.status_code == 422
    assert assignee(case) is None


def test_the_number_of_queries_does_not_grow_with_the_cases(client, django_assert_num_queries):
    as_manager(client)
    cases = [case_now() for _ in range(3)]
    for some in (cases[:1], cases):
        marks = [mark(case) for case in some]
        with django_assert_num_queries(5):
            client.get(URL, {"do": "days", "stage": marks})


def test_many_tickets_are_made_in_the_background(client, monkeypatch):
    monkeypatch.setattr("labcases.office.views.bulk.AT_ONCE", 0)
    manager = as_manager(client)
    ready = case_now()
    receive(ready, manager)
    answer = post(client, "office:bulk", do="tickets", stage=[mark(ready)], paper="a4")
    run = PrintRun.objects.get()
    assert answer.url == reverse("office:print_run", args=[run.pk])
    assert [line.stage for line in run.lines.all()] == [ready.current_stage]
