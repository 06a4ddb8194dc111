import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from tests.factories.people import ClinicianFactory, ManagerFactory, PracticeFactory, TechnicianFactory
from tests.office.desk import case_now
from tests.planning.laboratory import skilled

pytestmark = pytest.mark.django_db
FAR = timezone.localdate() + datetime.timedelta(days=60)


@pytest.fixture
def bench():
    return skilled("casts_and_trays", "bases_and_rims", "arrangement", "processing")


def ask(client, **data):
    return client.get(reverse("promise"), data)


def test_a_manager_asks_for_any_practice(client, bench):
    client.force_login(ManagerFactory())
    asked = {"practice": PracticeFactory().pk, "kind": "complete", "starts_at": "custom_tray"}
    text = ask(client, **asked, wanted_definitive_impressions=FAR).content.decode()
    assert "Yes: the first possible day is" in text
    today = timezone.localdate()
    assert "Not by then" in ask(client, **asked, wanted_definitive_impressions=today).content.decode()


def test_a_clinician_is_answered_for_the_own_practice(client, bench):
    clinician = ClinicianFactory()
    client.force_login(clinician)
    answer = ask(client, practice=PracticeFactory().pk, starts_at="custom_tray")
    assert answer.context["practice"] == clinician.practice
    assert "The first day that can be promised" in answer.content.decode()


@pytest.mark.parametrize(
    "data",
    [
        {},
        {"practice": "x"},
        {"practice": "99"},
        {"kind": "?", "arches": "?", "starts_at": "\x00", "wanted_try_in": "soon"},
        {"wanted_try_in": "0001-01-01"},
        {"wanted_try_in": "9999-12-31"},
    ],
)
def test_half_typed_prescriptions_are_answered_all_the_same(client, bench, data):
    client.force_login(ManagerFactory())
    for practice in ({}, {"practice": PracticeFactory().pk}):
        assert ask(client, **{**practice, **data}).status_code == 200


def test_as_a_fragment_it_is_only_the_answer(client, bench):
    client.force_login(ManagerFactory())
    answer = client.get(reverse("promise"), headers={"HX-Request": "true"})
    assert answer.content.decode().lstrip().startswith('<div id="promise"')


def test_a_case_is_promised_to_who_may_see_it(client, bench):
    case = case_now()
    url = reverse("case_promise", args=[case.number])
    for person, status in ((ManagerFactory(), 200), (case.prescriber, 200), (ClinicianFactory(), 404)):
        client.force_login(person)
        assert client.get(url).status_code == status


def test_a_technician_prescribes_nothing(client):
    client.force_login(TechnicianFactory())
    assert ask(client).status_code == 403
