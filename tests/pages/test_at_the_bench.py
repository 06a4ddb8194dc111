"""Two people and one tablet: each finds their own work again, and nobody that of the other."""

import datetime

import pytest
from django.test import Client
from django.urls import reverse

from labcases.people.actions.bench_devices import set_pin
from labcases.people.actions.staff import change_person, set_password
from labcases.people.models import BenchDevice, BenchPin, Session, User
from tests.bench.benchwork import stage_at_work
from tests.factories.people import PASSWORD, ClinicianFactory, ManagerFactory, TechnicianFactory
from tests.pages.knocking import is_in, key_of, post, sign_in
from tests.pages.test_own_sign_in import put_back

pytestmark = pytest.mark.django_db

NOW = datetime.datetime(2026, 3, 2, 9, 0, tzinfo=datetime.UTC)
PINS = ("4712", "90317")


@pytest.fixture
def two(db):
    people = TechnicianFactory(display_name="Ada Plaster"), TechnicianFactory(display_name="Ben Wax")
    for person, pin in zip(people, PINS, strict=True):
        set_pin(person, pin=pin, now=NOW)
    return people


@pytest.fixture
def tablet(two):
    """A bench device at which the first has signed in."""
    client = sign_in(two[0])
    post(client, "make_bench_device", name="Tablet at the window")
    return client


def lock(client, back="/"):
    return client.post(reverse("lock"), {"back": back})


def unlock(client, person, pin):
    return client.post(reverse("at_the_bench"), {"person": person.pk, "pin": pin})


def who(client):
    return client.get("/", follow=True).context["user"]


def test_after_locking_nobody_is_in_and_the_pin_leads_back_to_the_same_page(tablet, two):
    answer = lock(tablet, back="/calculators/lateral_setting?a=1")
    assert answer["Location"] == reverse("at_the_bench")
    assert not is_in(tablet)
    assert "Ada Plaster" in tablet.get(reverse("at_the_bench")).content.decode()
    assert unlock(tablet, two[0], PINS[0])["Location"] == "/calculators/lateral_setting?a=1"
    assert who(tablet) == two[0]


def test_what_was_typed_is_there_again_and_only_for_whoever_typed_it(tablet, two):
    stage = stage_at_work(by=two[0])
    sheet = reverse("bench:sheet", args=[stage.pk])
    box = "maxillary-anterior_height-1"
    tablet.post(reverse("bench:draft", args=[stage.pk]), {box: "22,4"})
    lock(tablet, back=sheet)
    sign_in(two[1], client=tablet)
    assert "22,4" not in tablet.get(sheet).content.decode()
    lock(tablet)
    assert unlock(tablet, two[0], PINS[0])["Location"] == sheet
    assert "22,4" in tablet.get(sheet).content.decode()


def test_two_change_over(tablet, two):
    lock(tablet)
    sign_in(two[1], client=tablet)
    for turn in (0, 1, 0):
        lock(tablet)
        assert unlock(tablet, two[turn], PINS[turn]).status_code == 302
        assert who(tablet) == two[turn]


def test_the_key_of_a_locked_session_opens_nothing(tablet, two):
    before = key_of(tablet)
    lock(tablet)
    for key in (before, Session.objects.get(user=two[0]).pk):
        thief = Client()
        thief.cookies["sessionid"] = key
        assert not is_in(thief)
    unlock(tablet, two[0], PINS[0])
    assert key_of(tablet) != before


def test_the_list_is_of_those_who_signed_in_fully_at_this_device(tablet, two):
    sign_in(two[1])
    lock(tablet)
    assert "Ben Wax" not in tablet.get(reverse("at_the_bench")).content.decode()
    assert unlock(tablet, two[1], PINS[1]).status_code == 200
    assert not is_in(tablet)


def test_elsewhere_a_pin_opens_nothing_and_no_name_is_told(tablet, two):
    lock(tablet)
    stranger = Client()
    assert stranger.get(reverse("at_the_bench"))["Location"] == "/"
    assert unlock(stranger, two[0], PINS[0])["Location"] == "/"
    stranger.cookies["bench_device"] = "A" * 43
    unlock(stranger, two[0], PINS[0])
    assert not is_in(stranger)


def test_five_wrong_tries_wait_for_the_password_which_brings_everything_back(tablet, two):
    lock(tablet, back="/calculators")
    words = [unlock(tablet, two[0], "9350").content.decode() for _ in range(5)]
    assert "4 more tries" in words[0]
    assert "locked until you sign in fully" in words[4]
    unlock(tablet, two[0], PINS[0])
    assert not is_in(tablet)
    form = {"username": two[0].username, "password": PASSWORD}
    assert tablet.post(reverse("sign_in"), form)["Location"] == "/calculators"
    lock(tablet)
    assert unlock(tablet, two[0], PINS[0]).status_code == 302


def test_at_a_bench_device_idleness_locks_and_the_longest_time_ends(tablet, two):
    put_back(tablet, seen_at={"minutes": 61})
    assert tablet.get("/calculators")["Location"] == reverse("at_the_bench")
    assert unlock(tablet, two[0], PINS[0])["Location"] == "/calculators"
    lock(tablet)
    Session.objects.update(began_at=Session.objects.get(user=two[0]).began_at - datetime.timedelta(hours=12))
    assert "Ada Plaster" not in tablet.get(reverse("at_the_bench")).content.decode()
    unlock(tablet, two[0], PINS[0])
    assert not is_in(tablet)


@pytest.mark.parametrize("what", ["left", "new password", "revoked", "ended elsewhere"])
def test_what_ends_a_session_ends_a_locked_one_too(tablet, two, what):
    lock(tablet)
    manager = ManagerFactory()
    if what == "left":
        change_person(two[0], by=manager, expected_version=1, is_active=False)
    elif what == "new password":
        set_password(User.objects.get(pk=two[0].pk), password="wax rim and facebow", by=manager)
    elif what == "revoked":
        post(sign_in(manager), "office:revoke_device", BenchDevice.objects.get().pk)
    else:
        post(sign_in(two[0]), "end_own_session", which="others")
    unlock(tablet, two[0], PINS[0])
    assert not is_in(tablet)


def test_after_a_pin_how_one_signs_in_is_changed_only_with_the_password(tablet, two):
    assert tablet.get(reverse("own_pin")).status_code == 200
    lock(tablet)
    unlock(tablet, two[0], PINS[0])
    assert tablet.get(reverse("own_pin"))["Location"].startswith(reverse("confirm"))


def test_a_clinician_has_no_pin_makes_no_bench_device_and_is_at_none(tablet):
    clinician = ClinicianFactory()
    client = sign_in(clinician)
    for route in ("own_pin", "make_bench_device"):
        assert client.get(reverse(route)).status_code == 403
        assert post(client, route, pin="4712", repeated="4712", name="Mine").status_code == 403
    lock(tablet)
    sign_in(clinician, client=tablet)
    assert Session.objects.get(pk=key_of(tablet)).bench_device is None
    assert lock(tablet)["Location"] == "/"
    assert is_in(tablet)


def test_a_pin_is_set_changed_and_removed_on_ones_own_page():
    person = TechnicianFactory()
    client = sign_in(person)
    assert post(client, "own_pin", pin="1234", repeated="1234").status_code == 422
    assert post(client, "own_pin", pin="4712", repeated="4713").status_code == 422
    assert post(client, "own_pin", pin="4712", repeated="4712").status_code == 302
    assert "You have a PIN" in client.get(reverse("own_sign_in")).content.decode()
    assert post(client, "own_pin", which="remove").status_code == 302
    assert not BenchPin.objects.exists()


@pytest.mark.parametrize("leads_to", ["https://elsewhere.example/", "//elsewhere.example"])
def test_unlocking_leads_to_no_other_site(tablet, two, leads_to):
    lock(tablet, back=leads_to)
    assert unlock(tablet, two[0], PINS[0])["Location"] == "/"


def test_without_a_bench_device_there_is_nothing_to_lock(two):
    client = sign_in(two[0])
    assert "data-lock" not in client.get("/calculators").content.decode()
    lock(client)
    assert is_in(client)
