"""Where somebody is signed in, how long that lasts, and what only its owner changes; asked from outside."""

import datetime

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from labcases.people.actions.staff import change_person
from labcases.people.models import Session, User
from labcases.people.sessions import handle_of
from tests.factories.people import PASSWORD, ClinicianFactory, ManagerFactory, TechnicianFactory
from tests.pages.knocking import is_in, key_of, post, sign_in
from tests.pages.test_addresses import ELSEWHERE

pytestmark = pytest.mark.django_db

PHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) Version/18.0 Mobile Safari/604.1"
WORDS = "wax rim and facebow"


@pytest.fixture
def clinician(db):
    return ClinicianFactory()


def put_back(client, **columns):
    """Let a session's beginning or last sight lie further back, as if the clock had gone on."""
    row = Session.objects.get(pk=key_of(client))
    moved = {name: getattr(row, name) - datetime.timedelta(**by) for name, by in columns.items()}
    Session.objects.filter(pk=row.pk).update(**moved)


def test_each_sign_in_is_listed_for_its_owner_with_this_one_marked(clinician):
    here, phone = sign_in(clinician), sign_in(clinician, HTTP_USER_AGENT=PHONE)
    sign_in(TechnicianFactory(), HTTP_USER_AGENT="Firefox/140.0 Windows")
    text = here.get(reverse("own_sign_in")).content.decode()
    assert "Safari on an iPhone" in text
    assert "Windows" not in text
    assert text.count("(this one)") == 1
    assert key_of(phone) not in text
    assert key_of(here) not in text


def test_a_session_is_ended_from_another(clinician):
    here, phone = sign_in(clinician), sign_in(clinician)
    post(here, "end_own_session", session=handle_of(key_of(phone)))
    assert is_in(here)
    assert not is_in(phone)


def test_all_other_sessions_are_ended_at_once(clinician):
    here, *others = (sign_in(clinician) for _ in range(3))
    stranger = sign_in(TechnicianFactory())
    post(here, "end_own_session", which="others")
    assert [is_in(client) for client in (here, *others, stranger)] == [True, False, False, True]


def test_nobody_ends_a_session_of_somebody_else(clinician):
    stranger = sign_in(TechnicianFactory())
    answer = post(sign_in(clinician), "end_own_session", session=handle_of(key_of(stranger)))
    assert answer.status_code == 422
    assert is_in(stranger)


def test_a_session_that_lay_idle_is_over_and_the_door_says_why(clinician):
    client = sign_in(clinician)
    put_back(client, seen_at={"minutes": 59})
    assert is_in(client)
    put_back(client, seen_at={"minutes": 60})
    answer = client.get(reverse("clinic:cases"), follow=True)
    assert answer.redirect_chain[-1][0] == f"{reverse('sign_in')}?next={reverse('clinic:cases')}"
    assert "nothing happened here for a while" in answer.content.decode()


def test_being_there_puts_the_idle_end_off_but_not_the_last_one(clinician):
    client = sign_in(clinician)
    for _ in range(12):
        put_back(client, seen_at={"minutes": 59}, began_at={"minutes": 59})
        assert is_in(client)
    put_back(client, began_at={"minutes": 12})
    assert not is_in(client)
    assert "signs in anew" in client.get(reverse("sign_in")).content.decode()


def test_typing_counts_as_being_there(clinician):
    client = sign_in(clinician)
    put_back(client, seen_at={"minutes": 50})
    assert client.post(reverse("still_here")).status_code == 204
    put_back(client, seen_at={"minutes": 50})
    assert is_in(client)


def test_being_there_is_written_down_once_a_minute_and_leaves_drafts_alone(clinician):
    client = sign_in(clinician)
    data = Session.objects.get(pk=key_of(client)).session_data
    before = Session.objects.get(pk=key_of(client)).seen_at
    client.get(reverse("clinic:cases"))
    assert Session.objects.get(pk=key_of(client)).seen_at == before
    put_back(client, seen_at={"minutes": 2})
    client.get(reverse("clinic:cases"))
    row = Session.objects.get(pk=key_of(client))
    assert (row.session_data, row.seen_at >= before) == (data, True)


def test_a_person_who_is_switched_off_is_out_at_once_and_stays_out(clinician):
    client = sign_in(clinician)
    manager = ManagerFactory()
    change_person(clinician, by=manager, expected_version=1, is_active=False)
    assert not is_in(client)
    assert not Session.objects.filter(user=clinician).exists()
    change_person(clinician, by=manager, expected_version=2, is_active=True)
    assert not is_in(client)


def test_a_new_password_ends_every_other_session(clinician):
    here, phone = sign_in(clinician), sign_in(clinician)
    answer = post(here, "own_password", new_password=WORDS, repeated=WORDS)
    assert answer["Location"] == reverse("own_sign_in")
    assert (is_in(here), is_in(phone)) == (True, False)
    assert User.objects.get(pk=clinician.pk).check_password(WORDS)


@pytest.mark.parametrize("typed", [("quarry9", "quarry9"), (WORDS, "another thing"), ("password1234",) * 2])
def test_a_password_that_will_not_do_is_refused_and_not_shown(clinician, typed):
    here = sign_in(clinician)
    answer = post(here, "own_password", new_password=typed[0], repeated=typed[1])
    assert answer.status_code == 422
    assert typed[0] not in answer.content.decode()
    assert User.objects.get(pk=clinician.pk).check_password(PASSWORD)


def test_a_manager_who_changes_the_own_password_as_a_person_stays_in():
    manager = ManagerFactory(username="ledger")
    here, elsewhere = sign_in(manager), sign_in(manager)
    form = {"display_name": "L", "username": "ledger", "password": WORDS, "version": "1"}
    assert post(here, "office:person", manager.pk, **form).status_code == 302
    assert (is_in(here), is_in(elsewhere)) == (True, False)


def test_a_browser_found_open_does_not_change_how_its_owner_signs_in(clinician):
    client = sign_in(clinician)
    later = client.session
    later["confirmed_at"] = (timezone.now() - datetime.timedelta(minutes=15)).timestamp()
    later.save()
    assert client.get(reverse("own_password"), follow=True).redirect_chain == [
        (f"{reverse('confirm')}?next=%2Fyour-sign-in%2Fpassword", 302)
    ]
    assert post(client, "own_password", new_password=WORDS, repeated=WORDS).status_code == 302
    assert User.objects.get(pk=clinician.pk).check_password(PASSWORD)
    assert post(client, "confirm", password="not it").status_code == 422
    answer = post(client, "confirm", password=PASSWORD, next=reverse("own_password"))
    assert answer["Location"] == reverse("own_password")
    assert client.get(reverse("own_password")).status_code == 200


def test_confirming_is_tried_no_more_often_than_signing_in(clinician):
    client = sign_in(clinician)
    assert {post(client, "confirm", password="not it").status_code for _ in range(10)} == {422}
    assert post(client, "confirm", password=PASSWORD).status_code == 429


@pytest.mark.parametrize("leads_to", ELSEWHERE)
def test_confirming_leads_to_no_other_site(clinician, leads_to):
    answer = post(sign_in(clinician), "confirm", password=PASSWORD, next=leads_to)
    assert answer["Location"] == reverse("own_sign_in")


def test_a_session_of_before_anybody_signed_in_belongs_to_nobody(clinician):
    client = Client()
    client.get(reverse("sign_in"))
    assert not Session.objects.exists()
