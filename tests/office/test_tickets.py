import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.cases.actions.assigning import assign
from labcases.cases.choices import Act
from tests.factories.people import TechnicianFactory
from tests.office.desk import as_manager, case_now, receive, refused_to_everybody_else

pytestmark = pytest.mark.django_db
URL = reverse("office:tickets")


def work_of_today(manager):
    case = case_now(wanted_in_days=1)
    receive(case, manager)
    case.refresh_from_db()
    stage = case.current_stage
    today = timezone.localdate()
    assign(
        stages=[(stage, stage.version)],
        to=TechnicianFactory(),
        by=manager,
        now=timezone.now(),
        planned_on=today,
    )
    return case


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:tickets")


def test_what_is_at_the_bench_today_is_ticked(client):
    manager = as_manager(client)
    case = work_of_today(manager)
    on_its_way = case_now(wanted_in_days=1)
    content = client.get(URL).content.decode()
    assert f'name="stage" value="{case.current_stage_id}" checked' in content
    assert on_its_way.number not in content


def test_with_nothing_to_print_it_says_so(client):
    as_manager(client)
    assert "No ticket to print today" in client.get(URL).content.decode()


def test_the_ticked_ones_come_as_one_pdf_and_are_kept(client):
    manager = as_manager(client)
    first, second, left = (work_of_today(manager) for _ in range(3))
    stages = [first.current_stage_id, second.current_stage_id]
    response = client.post(URL, {"stage": stages, "paper": "a4"})
    assert response["Content-Type"] == "application/pdf"
    assert response.content.startswith(b"%PDF-")
    issued = [case.events.filter(act=Act.TICKET).count() for case in (first, second, left)]
    assert issued == [1, 1, 0]


def test_printing_again_issues_nothing_new(client):
    case = work_of_today(as_manager(client))
    for _ in range(2):
        client.post(URL, {"stage": case.current_stage_id, "paper": "a4"})
    assert case.events.filter(act=Act.TICKET).count() == 1


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"paper": "a4"}, "Tick at least one ticket"),
        ({"stage": "999", "paper": "a4"}, "999 is not one of the available choices"),
        ({"paper": "napkin"}, "napkin is not one of the available choices"),
    ],
)
def test_what_cannot_be_printed_is_refused_in_words(client, data, words):
    case = work_of_today(as_manager(client))
    response = client.post(URL, {"stage": case.current_stage_id} | data if "napkin" in words else data)
    assert response.status_code == 422
    assert words in response.content.decode()


def test_one_that_fails_is_named_and_the_others_can_be_printed(client, monkeypatch):
    case = work_of_today(as_manager(client))
    stage = case.current_stage

    def fail(**given):
        from labcases.tickets.actions import Batch, Failure

        return Batch(b"", 0, (), (Failure(stage, "No room on the paper."),))

    monkeypatch.setattr("labcases.office.views.tickets.issue_tickets", fail)
    response = client.post(URL, {"stage": stage.pk, "paper": "a4"})
    assert response.status_code == 422
    assert "No room on the paper." in response.content.decode()
