import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.cases.actions.assigning import assign
from labcases.cases.choices import Act
from tests.factories.people import ClinicianFactory, TechnicianFactory
from tests.office.desk import as_manager, case_now, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db


def pair(case):
    case.refresh_from_db()
    return f"{case.current_stage_id}-{case.current_stage.version}"


def assignees(*cases):
    return [case.stages.get(pk=case.current_stage_id).assignee for case in cases]


def test_only_managers_give_out_work(client):
    assert refused_to_everybody_else(client, "office:assign", method="post")


def test_many_are_given_to_one_person_at_once(client):
    as_manager(client)
    technician, cases = TechnicianFactory(), [case_now(), case_now(), case_now()]
    response = post(client, "office:assign", stage=[pair(case) for case in cases], to=technician.pk)
    assert response.status_code == 302
    assert assignees(*cases) == [technician] * 3
    assert "3 stages given to" in client.get(response["Location"]).content.decode()
    assert cases[0].events.filter(act=Act.ASSIGNED).exists()


def test_all_of_them_or_none(client):
    manager = as_manager(client)
    first, second = case_now(), case_now()
    seen = [pair(first), pair(second)]
    other = TechnicianFactory()
    stage = second.current_stage
    assign(stages=[(stage, stage.version)], to=other, by=manager, now=timezone.now())
    response = post(client, "office:assign", stage=seen, to=TechnicianFactory().pk)
    assert response.status_code == 409
    assert assignees(first, second) == [None, other]


def test_work_can_be_taken_back(client):
    as_manager(client)
    case = case_now()
    post(client, "office:assign", stage=pair(case), to=TechnicianFactory().pk)
    post(client, "office:assign", stage=pair(case), to="nobody")
    assert assignees(case) == [None]


@pytest.mark.parametrize(
    ("stage", "to", "words"),
    [
        ([], "technician", "Tick at least one"),
        (["x-1", "7", "-", "9" * 30 + "-1"], "technician", "Tick at least one"),
        (["999999-1"], "technician", "not here any more"),
        (["right"], "", "Choose who"),
        (["right"], "clinician", "Choose who"),
        (["right"], "9" * 30, "Choose who"),
    ],
)
def test_what_cannot_be_given_out_is_refused_in_words(client, stage, to, words):
    as_manager(client)
    case = case_now()
    people = {"technician": TechnicianFactory().pk, "clinician": ClinicianFactory().pk}
    stages = [pair(case) if text == "right" else text for text in stage]
    response = post(client, "office:assign", stage=stages, to=people.get(to, to))
    assert response.status_code == 422
    assert words in response.content.decode()
    assert assignees(case) == [None]


@pytest.mark.parametrize(
    ("back", "leads_to"),
    [
        ("/office/today", "/office/today"),
        ("/office/cases?q=ZZ", "/office/cases?q=ZZ"),
        ("https://elsewhere.example/", "cases"),
        ("//elsewhere.example/", "cases"),
        ("", "cases"),
        ("/office/cases?q=" + "Z" * 400, "cases"),
        ("/office/cases?q=\x00", "cases"),
    ],
)
def test_it_leads_back_to_the_page_it_came_from_and_nowhere_else(client, back, leads_to):
    as_manager(client)
    response = post(client, "office:assign", stage=pair(case_now()), to=TechnicianFactory().pk, back=back)
    assert response["Location"] == (reverse("office:cases") if leads_to == "cases" else leads_to)


def test_sent_twice_it_is_done_once(client):
    as_manager(client)
    case, technician = case_now(), TechnicianFactory()
    data = {"stage": pair(case), "to": technician.pk, "key": "the-same-key"}
    first, second = (post(client, "office:assign", **data) for _ in range(2))
    assert first["Location"] == second["Location"]
    assert case.events.filter(act=Act.ASSIGNED).count() == 1
