"""An address from a letter leads to its case through the sign-in, once; a program that opens it uses nothing up."""

import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.post.actions.links import make_link
from labcases.post.models import CaseLink
from tests.factories.people import PASSWORD, ClinicianFactory
from tests.office.desk import case_now

pytestmark = pytest.mark.django_db
HOUR = datetime.timedelta(hours=1)


@pytest.fixture
def case():
    return case_now()


def link(case, *, made=None):
    token = make_link(person=case.prescriber, case=case, now=made or timezone.now())
    return reverse("case_link", args=[token])


def test_it_leads_through_the_sign_in_to_just_that_case(client, case):
    address = link(case)
    page = client.get(address)
    assert page.status_code == 200
    assert case.number not in page.content.decode()
    to_case = client.post(address)
    assert to_case["Location"] == reverse("clinic:case", args=[case.number])
    door = client.get(to_case["Location"])
    assert door.status_code == 302
    assert door["Location"].startswith(reverse("sign_in"))
    typed = {"username": case.prescriber.username, "password": PASSWORD}
    inside = client.post(door["Location"], {**typed, "next": to_case["Location"]}, follow=True)
    assert inside.status_code == 200
    assert case.number in inside.content.decode()


def test_looking_at_it_uses_nothing_up_and_opening_it_does(client, case):
    address = link(case)
    for _ in range(3):
        assert client.get(address).status_code == 200
    assert CaseLink.objects.get().used_at is None
    assert client.post(address).status_code == 302
    assert client.post(address).status_code == 410
    gone = client.get(address)
    assert gone.status_code == 410
    assert "It was opened before, or its time is over" in gone.content.decode()


def test_its_time_ends(client, case, settings):
    settings.LINK_MINUTES = 60
    assert client.post(link(case, made=timezone.now() - HOUR / 2)).status_code == 302
    late = link(case, made=timezone.now() - 2 * HOUR)
    assert (client.get(late).status_code, client.post(late).status_code) == (410, 410)


def test_whom_it_was_written_to_is_led_on_as_often_as_they_like(client, case):
    address = link(case, made=timezone.now() - datetime.timedelta(days=9))
    client.force_login(case.prescriber)
    for _ in range(2):
        assert client.get(address)["Location"] == reverse("clinic:case", args=[case.number])


def test_it_opens_nothing_to_somebody_else(client, case):
    client.force_login(ClinicianFactory())
    to_case = client.post(link(case))
    assert client.get(to_case["Location"]).status_code == 404


@pytest.mark.parametrize("token", ["x", "é", "%00", "a" * 300])
def test_an_unknown_address_is_not_found(client, token):
    assert client.get(f"/letters/{token}").status_code == 404
    assert client.post(f"/letters/{token}").status_code == 404


def test_only_the_digest_of_an_address_is_kept(case):
    token = link(case).rpartition("/")[2]
    assert token not in str(CaseLink.objects.values().get())
