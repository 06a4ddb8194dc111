"""A scanned or typed code leads to one place, or says why it leads nowhere."""

import pytest
from django.urls import reverse

from labcases.cases.actions.crossings import hand_to_clinic
from labcases.cases.actions.moves import finish_stage
from labcases.measurements.actions.readings import record_readings
from labcases.tickets.actions import issue_ticket
from labcases.tickets.codes import groups, new_code
from tests.bench.benchwork import an_hour_ago, stage_at_work, text
from tests.factories.measurements import entry
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db
SCAN = reverse("scan")


@pytest.fixture
def technician():
    return TechnicianFactory()


@pytest.fixture
def stage(technician):
    lip_line = (entry("papilla_to_resting_lip", "7.5"), entry("incisal_display", "1.0"))
    return stage_at_work(by=technician, figures=lip_line)


@pytest.fixture
def ticket(stage, technician):
    return issue_ticket(stage=stage, by=technician, now=an_hour_ago())


def sheet(stage):
    return reverse("bench:sheet", args=[stage.pk])


def scan(client, user, code):
    client.force_login(user)
    return client.get(SCAN, {"code": code})


@pytest.mark.parametrize(
    "written",
    [
        str,
        str.lower,
        lambda code: " ".join(groups(code)),
        lambda code: "-".join(groups(code)).lower(),
        lambda code: f"HTTPS://LAB.EXAMPLE/T/{code}",
        lambda code: f"https://lab.example/t/{code.lower()}\n",
    ],
)
def test_a_tickets_code_opens_its_sheet_however_it_is_written(client, technician, ticket, stage, written):
    assert scan(client, technician, written(ticket.code)).url == sheet(stage)


def test_the_address_on_the_paper_opens_the_sheet(client, technician, ticket, stage):
    client.force_login(technician)

    assert client.get(f"/T/{ticket.code}").url == sheet(stage)


def test_the_address_on_the_paper_reveals_nothing_without_signing_in(client, ticket):
    address = f"/T/{ticket.code}"

    answer = client.get(address)

    assert answer.url == f"{reverse('sign_in')}?next={address}"


@pytest.mark.parametrize("written", [str, str.lower, lambda number: number.replace("-", " ")])
def test_a_case_number_opens_the_sheet_of_the_stage_that_is_next(client, technician, stage, written):
    assert scan(client, technician, written(stage.case.number)).url == sheet(stage)


def test_a_case_whose_next_stage_is_at_the_clinic_opens_as_a_case(client, technician, stage):
    finish_stage(stage=stage, by=technician, expected_version=stage.version, now=an_hour_ago())
    hand_to_clinic(case=stage.case, by=technician, now=an_hour_ago())

    number = stage.case.number
    assert scan(client, technician, number).url == reverse("bench:case", args=[number])
    assert scan(client, ManagerFactory(), number).url == reverse("office:case", args=[number])


def test_a_mistyped_case_number_says_so_and_stays_in_the_box(client, technician, stage):
    wrong = stage.case.number[:-1] + ("A" if stage.case.number[-1] != "A" else "B")

    answer = scan(client, technician, wrong)

    assert answer.status_code == 422
    assert "One of them is mistyped" in text(answer)
    assert f'value="{wrong}"' in answer.content.decode()


def test_a_mistyped_code_says_so(client, technician, ticket):
    answer = scan(client, technician, ticket.code[:-1])

    assert answer.status_code == 422
    assert "is not a ticket's code" in text(answer)


def test_a_code_or_number_without_anything_behind_it_is_not_found(client, technician):
    assert scan(client, technician, new_code()).status_code == 404
    assert scan(client, technician, "26-00417-D").status_code == 404


def test_a_ticket_or_case_of_another_practice_answers_like_an_unknown_one(client, ticket):
    stranger = ClinicianFactory()

    foreign, unknown = scan(client, stranger, ticket.code), scan(client, stranger, new_code())
    assert foreign.status_code == unknown.status_code == 404
    assert text(foreign) == text(unknown)
    number = scan(client, stranger, ticket.stage.case.number)
    assert number.status_code == 404


def test_the_practices_own_clinician_gets_to_the_case(client, ticket):
    case = ticket.stage.case

    assert scan(client, case.prescriber, ticket.code).url == reverse("clinic:case", args=[case.number])


def test_an_old_paper_says_which_revision_is_current_and_what_changed(client, technician, ticket, stage):
    record_readings(
        stage=stage, entries=[entry("sulcus_to_papilla", "12.5")], by=technician, now=an_hour_ago()
    )

    answer = scan(client, technician, ticket.code)

    assert answer.status_code == 200
    assert "This paper is revision 1, revision 2 is current." in text(answer)
    assert "22.0 mm (21.0 to 23.0) becomes 21.0 mm (20.0 to 22.0)" in text(answer)
    assert f'href="{sheet(stage)}"' in answer.content.decode()


def test_an_empty_scan_shows_the_box(client, technician):
    answer = scan(client, technician, " ")

    assert answer.status_code == 200
    assert 'name="code"' in answer.content.decode()


@pytest.mark.parametrize("odd", ["\x00", "\ud800", "9" * 5000, "/T/", "%", "ＡＢＣ", "²6-00417-D"])
def test_odd_texts_are_answered_in_words(client, technician, odd):
    client.force_login(technician)
    assert client.get(SCAN, {"code": odd.encode(errors="surrogatepass")}).status_code in (404, 422)


def test_who_is_signed_out_is_asked_to_sign_in_and_comes_back(client, ticket):
    answer = client.get(SCAN, {"code": ticket.code})

    assert answer.url.startswith(f"{reverse('sign_in')}?next=")
    assert ticket.code in answer.url


def test_scanning_takes_few_queries(client, technician, ticket, stage, django_assert_max_num_queries):
    record_readings(
        stage=stage, entries=[entry("sulcus_to_papilla", "12.5")], by=technician, now=an_hour_ago()
    )
    client.force_login(technician)
    with django_assert_max_num_queries(12):
        client.get(SCAN, {"code": ticket.code})
