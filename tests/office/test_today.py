import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.cases.actions.assigning import assign
from labcases.cases.actions.crossings import hand_to_clinic
from labcases.cases.actions.dates import set_dates
from labcases.cases.actions.intake import change_prescription
from labcases.cases.actions.returns import send_back
from labcases.cases.choices import Decision, ReturnCause
from labcases.cases.queries import stages_to_return_to
from labcases.office.views import today
from tests.factories.people import LaboratoryFactory, TechnicianFactory
from tests.office.desk import as_manager, case_now, post, receive, refused_to_everybody_else, work_through

pytestmark = pytest.mark.django_db
URL = reverse("office:today")


def groups(client):
    response = client.get(URL)
    assert response.status_code == 200
    return {
        group.decision: [(row.case.number, row.step) for row in group.rows]
        for group in response.context["groups"]
    }


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:today")


def test_with_nothing_to_decide_it_says_so(client):
    as_manager(client)
    content = client.get(URL).content.decode()
    assert "Nothing waits for you" in content
    assert reverse("office:cases") in content


def test_an_incomplete_prescription_says_what_is_missing(client):
    as_manager(client)
    case = case_now(sign=False, base_material="")
    assert groups(client) == {Decision.INCOMPLETE: [(case.number, "complete")]}
    content = client.get(URL).content.decode()
    assert "the denture base material; the prescriber&#x27;s signature" in content
    assert reverse("office:prescription", args=[case.number]) in content


def test_a_case_on_its_way_is_received_first(client):
    as_manager(client)
    case = case_now()
    assert groups(client) == {Decision.UNASSIGNED: [(case.number, "receive")]}


def test_a_received_case_is_given_to_somebody_in_its_row(client):
    manager = as_manager(client)
    case = case_now()
    receive(case, manager)
    technician = TechnicianFactory(display_name="Ode Finch")
    assert groups(client) == {Decision.UNASSIGNED: [(case.number, "assign")]}
    assert f'<option value="{technician.pk}">Ode Finch</option>' in client.get(URL).content.decode()


def test_finished_work_is_handed_over(client):
    manager = as_manager(client)
    case = case_now()
    work_through(case, "definitive_impressions", manager)
    assert groups(client) == {Decision.TO_HAND_OVER: [(case.number, "hand_over")]}


def test_what_came_back_shows_cause_and_note(client):
    manager = as_manager(client)
    case = case_now()
    stage = work_through(case, "jaw_relation", manager)
    hand_to_clinic(case=case, by=manager, now=timezone.now())
    rims = stages_to_return_to(case)[0]
    send_back(
        stage=stage,
        to=rims,
        cause=ReturnCause.RIM_HEIGHT,
        note="Three millimetres show at rest",
        by=manager,
        expected_version=stage.version,
        now=timezone.now(),
    )
    assert groups(client) == {Decision.CAME_BACK: [(case.number, "receive")]}
    content = client.get(URL).content.decode()
    assert "Rim too high or too low: Three millimetres show at rest" in content


def test_a_late_case_stands_once_and_names_its_other_reasons(client):
    as_manager(client)
    case = case_now(wanted_in_days=-5)
    assert groups(client) == {Decision.LATE: [(case.number, "receive")]}
    assert "nobody has it yet, on its way here" in client.get(URL).content.decode()


def test_a_long_question_shows_its_most_pressing_rows_and_the_rest_on_demand(client, monkeypatch):
    monkeypatch.setattr(today, "SHOWN_AT_FIRST", 2)
    as_manager(client)
    late = [case_now(wanted_in_days=-days) for days in (3, 9, 6, 12)]
    coming = [case_now(wanted_in_days=30) for _ in range(3)]
    content = client.get(URL).content.decode()
    assert [case.number for case in late if f'id="case-{case.number}"' in content] == [
        late[1].number,
        late[3].number,
    ]
    assert sum(f'id="case-{case.number}"' in content for case in coming) == 2
    assert "Show 2 more" in content
    assert "Show one more" in content
    # All are counted where they are told, those kept back too.
    assert "7 cases wait for your decision" in content

    whole = client.get(URL, {"all": Decision.LATE.value}).content.decode()
    assert all(f'id="case-{case.number}"' in whole for case in late)
    assert sum(f'id="case-{case.number}"' in whole for case in coming) == 2
    # Whoever answers one comes back to the same rows.
    assert f'name="back" value="{URL}?all=late"' in whole or f"back={URL}%3Fall%3Dlate" in whole
    assert client.get(URL, {"all": "nonsense"}).status_code == 200


def test_late_work_that_somebody_has_is_dated_anew(client):
    manager = as_manager(client)
    case = case_now(wanted_in_days=-5)
    receive(case, manager)
    case.refresh_from_db()
    stage = case.current_stage
    assign(stages=[(stage, stage.version)], to=TechnicianFactory(), by=manager, now=timezone.now())
    assert groups(client) == {Decision.LATE: [(case.number, "dates")]}


def test_late_work_has_both_answers_in_its_row(client):
    manager = as_manager(client)
    case = case_now(wanted_in_days=-5)
    receive(case, manager)
    content = client.get(URL).content.decode()
    assert "Late: another day, or other hands?" in content
    assert reverse("office:dates", args=[case.number]) in content
    assert f'action="{reverse("office:assign")}"' in content


def change_under_way(case, manager):
    """A prescription changed after its first stage was begun."""
    stage = work_through(case, "master_cast", manager)
    case.refresh_from_db()
    change_prescription(
        case=case,
        changes={"base_material": "Another acrylic"},
        by=manager,
        expected_version=case.version,
        now=timezone.now(),
    )
    assign(stages=[(stage, stage.version)], to=TechnicianFactory(), by=manager, now=timezone.now())


def test_a_prescription_changed_under_way_waits_for_its_signature(client):
    manager = as_manager(client)
    case = case_now(wanted_in_days=30)
    change_under_way(case, manager)
    receive(case, manager)
    assert groups(client) == {Decision.UNSIGNED: [(case.number, "sign")]}
    content = client.get(URL).content.decode()
    assert "Changed: base material" in content
    assert manager.display_name in content
    case.refresh_from_db()
    answer = post(client, "office:sign", case.number, version=case.version, back=URL)
    assert answer["Location"] == URL
    assert groups(client) == {}


def test_work_that_no_day_drives_asks_for_one(client):
    manager = as_manager(client)
    case = case_now(wanted_in_days=30)
    receive(case, manager)
    case.refresh_from_db()
    stage = case.current_stage
    assign(stages=[(stage, stage.version)], to=TechnicianFactory(), by=manager, now=timezone.now())
    set_dates(case=case, dates={"definitive_impressions": None}, by=manager, now=timezone.now())
    assert groups(client) == {Decision.UNDATED: [(case.number, "dates")]}
    assert "Set the day" in client.get(URL).content.decode()


def test_the_number_of_queries_does_not_grow_with_the_cases(client, django_assert_num_queries):
    manager = as_manager(client)
    LaboratoryFactory()

    def some():
        receive(case_now(), manager)
        case_now(sign=False)
        case_now(wanted_in_days=-5)
        change_under_way(case_now(), manager)

    some()
    with django_assert_num_queries(8):
        client.get(URL)
    some()
    some()
    with django_assert_num_queries(8):
        client.get(URL)


def test_nothing_changes_by_looking(client):
    as_manager(client)
    case = case_now()
    before = case.events.count()
    client.get(URL)
    assert case.events.count() == before
    assert client.post(URL).status_code == 405


def test_work_due_on_the_next_working_day_is_near(client):
    manager = as_manager(client)
    today = timezone.localdate()
    case = case_now(wanted_in_days=40)
    receive(case, manager)
    case.refresh_from_db()
    stage = case.current_stage
    assign(stages=[(stage, stage.version)], to=TechnicianFactory(), by=manager, now=timezone.now())
    type(stage)._default_manager.filter(pk=stage.pk).update(due_on=today + datetime.timedelta(days=1))
    assert groups(client) == {Decision.SOON: [(case.number, "look")]}
