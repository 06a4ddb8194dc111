import pytest
from django.urls import reverse

from labcases.cases.actions.crossings import receive_at_laboratory
from tests.bench.benchwork import an_hour_ago, coming_case, form, text
from tests.factories.people import TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def technician(client):
    user = TechnicianFactory()
    client.force_login(user)
    return user


@pytest.fixture
def coming(technician):
    return coming_case()


def receive(client, case, **fields):
    given = {"agent": "Disinfectant A, 1:10", "minutes": "12", "minutes_required": "10", **fields}
    return client.post(reverse("bench:receive", args=[case.number]), form(**given))


def test_a_case_is_received_with_its_disinfection(client, coming, technician):
    answer = receive(client, coming)

    assert answer.url == reverse("bench:work")
    coming.refresh_from_db()
    assert coming.location == "laboratory"
    done = coming.disinfections.get()
    assert (done.agent, done.minutes, done.minutes_required, done.by) == (
        "Disinfectant A, 1:10",
        12,
        10,
        technician,
    )


def test_too_short_a_contact_time_is_refused_and_everything_stays_in_its_box(client, coming):
    answer = receive(client, coming, minutes="5")

    assert answer.status_code == 422
    assert "shorter than the 10 minutes" in text(answer)
    assert 'value="Disinfectant A, 1:10"' in answer.content.decode()
    coming.refresh_from_db()
    assert coming.location == "to_laboratory"


@pytest.mark.parametrize(
    "fields", [{"agent": " "}, {"minutes": ""}, {"minutes": "9.5"}, {"minutes_required": "0"}]
)
def test_what_is_missing_or_no_number_of_minutes_is_refused(client, coming, fields):
    assert receive(client, coming, **fields).status_code == 422
    assert not coming.disinfections.exists()


def test_the_disinfectant_used_last_is_proposed_but_never_the_time_it_had(client, coming):
    receive(client, coming)

    page = client.get(reverse("bench:receive", args=[coming_case().number]))

    shown = page.context["form"]
    assert shown["agent"].value() == "Disinfectant A, 1:10"
    assert shown["minutes_required"].value() == 10
    assert shown["minutes"].value() is None


def test_who_comes_second_sees_who_received_it(client, coming):
    other = TechnicianFactory()
    receive_at_laboratory(
        case=coming, agent="A", minutes=10, minutes_required=10, by=other, now=an_hour_ago()
    )

    answer = receive(client, coming)

    assert answer.status_code == 409
    assert other.display_name in text(answer)
    assert coming.disinfections.count() == 1


def test_sent_twice_it_is_received_once(client, coming):
    sent = form(agent="A", minutes="10", minutes_required="10")
    url = reverse("bench:receive", args=[coming.number])

    assert client.post(url, sent).url == client.post(url, sent).url
    assert coming.disinfections.count() == 1


def test_a_clinician_receives_nothing_at_the_laboratory(client, coming):
    client.force_login(coming.prescriber)
    assert receive(client, coming).status_code == 403


def test_an_unknown_number_is_not_found(client, technician):
    assert client.get(reverse("bench:receive", args=["26-99999-9"])).status_code == 404
