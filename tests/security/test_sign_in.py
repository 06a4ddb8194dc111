"""The door: how often it may be tried, and what it tells somebody who has no account."""

import datetime
import re
from unittest import mock

import pytest
from django.contrib.auth.hashers import MD5PasswordHasher
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from labcases.people.actions.sign_in import MOST_FAILURES, WINDOW
from labcases.people.models import SignInCount, User
from tests.factories.people import PASSWORD, TechnicianFactory
from tests.reliability.together import at_once

SIGN_IN = "/sign-in"
SECRETS = re.compile(r'(csrfmiddlewaretoken" value=|"X-CSRFToken": )"[^"]+"')


def try_to_sign_in(name, password="not it", *, client=None, **headers):
    client = client or Client()
    return client.post(SIGN_IN, {"username": name, "password": password}, **headers)


def is_signed_in(client):
    return "_auth_user_id" in client.session


@pytest.fixture
def technician(db):
    return TechnicianFactory(username="gypsum")


def test_ten_wrong_passwords_shut_the_door_even_for_the_right_one(technician):
    assert [try_to_sign_in("gypsum").status_code for _ in range(MOST_FAILURES)] == [200] * MOST_FAILURES
    client = Client()
    answer = try_to_sign_in("gypsum", PASSWORD, client=client)
    assert answer.status_code == 429
    assert not is_signed_in(client)
    assert 0 < int(answer.headers["Retry-After"]) <= WINDOW.total_seconds() + 1
    until = timezone.localtime(SignInCount.objects.first().since + WINDOW + datetime.timedelta(minutes=1))
    assert f"again at <strong>{until:%H:%M}</strong>" in answer.content.decode()


def test_the_door_opens_again_after_the_window(technician):
    for _ in range(MOST_FAILURES + 1):
        try_to_sign_in("gypsum")
    SignInCount.objects.update(since=timezone.now() - WINDOW)
    assert try_to_sign_in("gypsum", PASSWORD).status_code == 302


def test_a_sign_in_starts_the_name_anew(technician):
    for _ in range(3):
        for _ in range(3):
            try_to_sign_in("gypsum")
        assert try_to_sign_in("gypsum", PASSWORD).status_code == 302
    assert {row.failures for row in SignInCount.objects.all()} == {0, 9}


def test_an_empty_form_is_no_try(technician):
    for _ in range(MOST_FAILURES + 2):
        assert try_to_sign_in("gypsum", "").status_code == 200
    assert not SignInCount.objects.exists()


@pytest.mark.parametrize("tries", [1, MOST_FAILURES, MOST_FAILURES + 1])
def test_a_name_of_nobody_is_answered_like_one_of_somebody(technician, tries):
    """Also one who may not sign in any more, and one who never had a password."""
    TechnicianFactory(username="leftus", is_active=False)
    without = TechnicianFactory(username="papers")
    without.set_password(None)
    User.objects.filter(pk=without.pk).update(password=without.password)
    pages = set()
    for n, name in enumerate(["gypsum", "leftus", "papers", "nobody"]):
        for _ in range(tries):
            answer = try_to_sign_in(name, REMOTE_ADDR=f"192.0.2.{n}")
        text = SECRETS.sub("", answer.content.decode()).replace(name, "")
        pages.add((answer.status_code, re.sub(r"\d\d:\d\d", "", text)))
    assert len(pages) == 1


def test_a_name_of_nobody_costs_as_much_hashing_as_one_of_somebody(technician):
    """Time is not measured here: what takes it is the hashing, and that is counted."""
    counts = []
    for name in ("gypsum", "nobody"):
        with mock.patch.object(
            MD5PasswordHasher, "encode", autospec=True, side_effect=MD5PasswordHasher.encode
        ) as it:
            try_to_sign_in(name)
        counts.append(it.call_count)
    assert counts[0] == counts[1] > 0


def test_an_address_that_the_client_claims_is_not_believed(technician):
    for n in range(MOST_FAILURES):
        try_to_sign_in(f"person{n}", HTTP_X_FORWARDED_FOR=f"198.51.100.{n}")
    assert try_to_sign_in("gypsum", PASSWORD, HTTP_X_FORWARDED_FOR="203.0.113.1").status_code == 429


def test_behind_a_proxy_of_our_own_only_what_it_wrote_counts(technician, settings):
    settings.PROXIES = 1
    for n in range(MOST_FAILURES):
        try_to_sign_in(f"person{n}", HTTP_X_FORWARDED_FOR=f"198.51.100.{n}, 203.0.113.1")
    shut = try_to_sign_in("gypsum", PASSWORD, HTTP_X_FORWARDED_FOR="198.51.100.99, 203.0.113.1")
    other = try_to_sign_in("gypsum", PASSWORD, HTTP_X_FORWARDED_FOR="203.0.113.1, 203.0.113.2")
    assert (shut.status_code, other.status_code) == (429, 302)


@pytest.mark.django_db(transaction=True)
def test_tries_at_the_same_moment_are_no_way_round_it():
    TechnicianFactory(username="gypsum")
    answers = []
    for _ in range(2):
        answers += at_once(*[lambda: try_to_sign_in("gypsum").status_code for _ in range(8)])
    assert sorted(answers) == [200] * MOST_FAILURES + [429] * (16 - MOST_FAILURES)


def test_the_session_gets_a_new_key_at_sign_in(technician):
    client = Client()
    client.get("/scan")
    session = client.session
    session["planted"] = "by whoever knew the key before"
    session.save()
    client.cookies["sessionid"] = before = session.session_key
    assert try_to_sign_in("gypsum", PASSWORD, client=client).status_code == 302
    assert client.cookies["sessionid"].value != before
    stranger = Client()
    stranger.cookies["sessionid"] = before
    assert stranger.get(reverse("bench:work")).status_code == 302


def test_the_form_token_changes_at_sign_in(technician):
    client = Client(enforce_csrf_checks=True)
    client.get(SIGN_IN)
    before = client.cookies["csrftoken"].value
    form = {"username": "gypsum", "password": PASSWORD, "csrfmiddlewaretoken": before}
    assert client.post(SIGN_IN, form).status_code == 302
    assert client.cookies["csrftoken"].value != before


def test_signing_out_ends_the_session_on_the_server(technician):
    client = Client()
    client.force_login(technician)
    key = client.cookies["sessionid"].value
    assert client.post(reverse("sign_out")).status_code == 302
    stranger = Client()
    stranger.cookies["sessionid"] = key
    assert stranger.get(reverse("bench:work")).status_code == 302


@pytest.mark.parametrize(
    "leads_to", ["https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)"]
)
def test_signing_in_leads_to_no_other_site(technician, leads_to):
    answer = Client().post(SIGN_IN, {"username": "gypsum", "password": PASSWORD, "next": leads_to})
    assert answer.headers["Location"] == "/"
