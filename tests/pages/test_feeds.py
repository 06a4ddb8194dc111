import pytest
import vobject
from django.urls import reverse
from django.utils import timezone

from labcases.planning.models import CalendarFeed
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory
from tests.office.desk import case_now, post

pytestmark = pytest.mark.django_db


def address():
    return reverse("calendar_feed", args=[CalendarFeed.objects.get(revoked_at__isnull=True).token])


@pytest.mark.parametrize("factory", [TechnicianFactory, ManagerFactory, ClinicianFactory])
def test_everybody_makes_an_own_address_and_ends_it(client, factory):
    client.force_login(factory())
    assert "No address has been made" in client.get(reverse("my_calendar")).content.decode()
    post(client, "my_calendar", which="make")
    url = address()
    assert url in client.get(reverse("my_calendar")).content.decode()
    client.logout()
    answer = client.get(url)
    assert answer.status_code == 200
    assert answer.headers["Content-Type"].startswith("text/calendar")
    client.force_login(factory())
    assert url not in client.get(reverse("my_calendar")).content.decode()


def test_a_practice_s_address_gives_its_cases_to_a_reader_without_a_door(client):
    clinician = ClinicianFactory()
    case = case_now(prescriber=clinician)
    client.force_login(clinician)
    post(client, "my_calendar", which="make")
    url = address()
    client.logout()
    calendar = vobject.readOne(client.get(url).content.decode())
    assert all(event.summary.value.startswith(case.number) for event in calendar.vevent_list)
    client.force_login(clinician)
    post(client, "my_calendar", which="revoke")
    client.logout()
    assert client.get(url).status_code == 404


@pytest.mark.parametrize("token", ["x", "a" * 43, "%00", "é"])
def test_an_unknown_address_is_not_found(client, token):
    assert client.get(f"/calendar/{token}.ics").status_code == 404


def test_a_feed_is_only_read(client):
    person = TechnicianFactory()
    CalendarFeed.objects.create(token="t" * 43, person=person, made_by=person, made_at=timezone.now())
    assert client.post(address()).status_code == 405
