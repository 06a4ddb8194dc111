import pytest
from django.urls import reverse

from labcases.measurements.actions.readings import record_readings
from labcases.tickets.queries import current_ticket
from tests.bench.benchwork import an_hour_ago, coming_case, stage_at_work, text
from tests.factories.measurements import entry
from tests.factories.people import ClinicianFactory, TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def technician(client):
    user = TechnicianFactory()
    client.force_login(user)
    return user


@pytest.fixture
def stage(technician):
    lip_line = (entry("papilla_to_resting_lip", "7.5"), entry("incisal_display", "1.0"))
    return stage_at_work(by=technician, figures=lip_line)


def print_ticket(client, stage, **fields):
    return client.post(reverse("bench:ticket", args=[stage.pk]), fields)


def test_printing_leads_to_the_paper(client, stage):
    answer = print_ticket(client, stage)

    issued = current_ticket(stage)
    assert answer.url == reverse("ticket_pdf", args=[issued.code])


def test_printing_again_what_has_not_changed_is_the_same_paper(client, stage):
    assert print_ticket(client, stage).url == print_ticket(client, stage).url
    assert stage.tickets.count() == 1


def test_the_sheet_says_when_the_paper_in_the_box_is_old(client, stage, technician):
    sheet = reverse("bench:sheet", args=[stage.pk])
    print_ticket(client, stage)
    assert "The paper in the box is old" not in text(client.get(sheet))

    record_readings(
        stage=stage, entries=[entry("sulcus_to_papilla", "12.5")], by=technician, now=an_hour_ago()
    )

    assert "The paper in the box is old" in text(client.get(sheet))


def test_a_case_that_is_incomplete_on_paper_gets_no_ticket(client, technician):
    case = coming_case(base_material="")

    answer = print_ticket(client, case.current_stage)

    assert answer.status_code == 422
    assert "not ready for the bench" in text(answer)


def test_an_unknown_paper_is_refused(client, stage):
    assert print_ticket(client, stage, paper="papyrus").status_code == 422
    assert stage.tickets.count() == 0


def test_going_to_the_address_prints_nothing(client, stage):
    answer = client.get(reverse("bench:ticket", args=[stage.pk]))

    assert answer.url == reverse("bench:sheet", args=[stage.pk])
    assert stage.tickets.count() == 0


def test_a_clinician_prints_no_ticket(client, stage):
    client.force_login(ClinicianFactory(practice=stage.case.practice))
    assert print_ticket(client, stage).status_code == 403
