import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.cases.actions.crossings import hand_to_clinic
from labcases.cases.choices import StageKind, StageState
from tests.office.desk import as_manager, case_now, post, refused_to_everybody_else, work_through

pytestmark = pytest.mark.django_db


def at_the_clinic(manager):
    case = case_now()
    stage = work_through(case, StageKind.TRY_IN, manager)
    hand_to_clinic(case=case, by=manager, now=timezone.now())
    return case, stage


def test_only_managers_record_for_a_practice_here(client):
    assert refused_to_everybody_else(client, "office:record_clinic", case_now().number)


def test_the_practices_stage_is_recorded_under_the_managers_name(client):
    manager = as_manager(client)
    case, stage = at_the_clinic(manager)
    page = client.get(reverse("office:record_clinic", args=[case.number]))
    onward = page.context["form"].fields["decision"].choices[0][0]
    response = post(
        client,
        "office:record_clinic",
        case.number,
        stage=stage.pk,
        version=stage.version,
        outcome="The patient is content",
        decision=onward,
    )
    assert response["Location"] == reverse("office:case", args=[case.number])
    stage.refresh_from_db()
    assert (stage.state, stage.finished_by, stage.outcome) == (
        StageState.DONE,
        manager,
        "The patient is content",
    )


def test_while_the_work_is_here_there_is_nothing_to_record(client):
    as_manager(client)
    case = case_now()
    content = client.get(reverse("office:record_clinic", args=[case.number])).content.decode()
    assert "once the work has left the laboratory" in content


def test_an_overdue_appointment_leads_here_from_today(client):
    manager = as_manager(client)
    case = case_now(wanted_in_days=-3)
    work_through(case, StageKind.TRY_IN, manager)
    hand_to_clinic(case=case, by=manager, now=timezone.now())
    content = client.get(reverse("office:today")).content.decode()
    assert f'href="{reverse("office:record_clinic", args=[case.number])}"' in content
