"""After the password the second step: from outside, it is neither skipped nor played back."""

import datetime

import pytest
from allauth.mfa.models import Authenticator
from django.test import Client
from django.urls import NoReverseMatch, reverse
from django.utils import timezone

from labcases.people.actions.factors import add_app
from labcases.people.actions.staff import set_password
from labcases.people.models import User
from tests.factories.people import PASSWORD, ClinicianFactory, ManagerFactory, TechnicianFactory
from tests.pages.knocking import is_in, post, sign_in
from tests.people.actions.test_factors import SECRET, code_at

pytestmark = pytest.mark.django_db

STEP = datetime.timedelta(seconds=30)


def with_app(person):
    """Set an app up for this person some minutes ago; return the recovery codes."""
    before = timezone.now() - 10 * STEP
    return add_app(person, secret=SECRET, code=code_at(before), now=before)


@pytest.fixture
def clinician(db):
    return ClinicianFactory()


def send_code(client, code):
    return client.post(reverse("second_step"), {"code": code})


def test_the_password_alone_lets_nobody_in(clinician):
    with_app(clinician)
    client = Client()
    answer = client.post(reverse("sign_in"), {"username": clinician.username, "password": PASSWORD})
    assert answer["Location"] == reverse("second_step")
    assert not is_in(client)
    for route in ("home", "clinic:cases", "own_sign_in", "own_app", "own_passkey", "own_codes"):
        assert client.get(reverse(route))["Location"].startswith(reverse("sign_in"))
    assert send_code(client, code_at(timezone.now())).status_code == 302
    assert is_in(client)


def test_the_way_leads_to_the_page_that_was_asked_for(clinician):
    with_app(clinician)
    client = Client()
    form = {"username": clinician.username, "password": PASSWORD, "next": "/calculators"}
    client.post(reverse("sign_in"), form)
    assert send_code(client, code_at(timezone.now()))["Location"] == "/calculators"


def test_a_code_that_somebody_watched_is_not_played_back(clinician):
    with_app(clinician)
    code = code_at(timezone.now())
    assert send_code(sign_in(clinician), code).status_code == 302
    watcher = sign_in(clinician)
    assert send_code(watcher, code).status_code == 422
    assert not is_in(watcher)


def test_a_recovery_code_lets_in_once(clinician):
    code = with_app(clinician)[0]
    assert is_in_after(clinician, code)
    assert not is_in_after(clinician, code)


def is_in_after(person, code):
    client = sign_in(person)
    send_code(client, code)
    return is_in(client)


def test_codes_are_tried_ten_times_whoever_tries(clinician):
    with_app(clinician)
    browsers = [sign_in(clinician, client=Client(REMOTE_ADDR=f"192.0.2.{n}")) for n in range(11)]
    assert {send_code(client, "000000").status_code for client in browsers[:10]} == {422}
    client = browsers[10]
    assert send_code(client, code_at(timezone.now())).status_code == 429
    assert not is_in(client)


def test_the_second_step_is_nobodys_without_a_password(clinician):
    with_app(clinician)
    assert send_code(Client(), code_at(timezone.now()))["Location"] == reverse("sign_in")


def test_the_second_step_waits_ten_minutes(clinician):
    with_app(clinician)
    client = sign_in(clinician)
    session = client.session
    session["awaited"] = session["awaited"] | {"at": timezone.now().timestamp() - 601}
    session.save()
    assert send_code(client, code_at(timezone.now()))["Location"] == reverse("sign_in")
    assert not is_in(client)


@pytest.mark.parametrize("meanwhile", ["left", "new password"])
def test_what_changed_since_the_password_counts(clinician, meanwhile):
    with_app(clinician)
    client = sign_in(clinician)
    if meanwhile == "left":
        User.objects.filter(pk=clinician.pk).update(is_active=False)
    else:
        set_password(clinician, password="wax rim and facebow", by=ManagerFactory())
    assert send_code(client, code_at(timezone.now()))["Location"] == reverse("sign_in")
    assert not is_in(client)


def test_setting_an_app_up_takes_a_code_and_shows_recovery_codes_once(clinician):
    client, elsewhere = sign_in(clinician), sign_in(clinician)
    page = client.get(reverse("own_app"))
    secret = client.session["app_secret"]
    assert secret[:4] in page.content.decode()
    picture = client.get(reverse("own_app_picture"))
    assert (picture["Content-Type"], picture["Cache-Control"]) == ("image/svg+xml", "no-store")
    assert post(client, "own_app", code="000000").status_code == 422
    answer = post(client, "own_app", code=code_at(timezone.now(), secret))
    assert answer["Location"] == reverse("own_codes")
    shown = client.get(answer["Location"]).content.decode()
    assert shown.count("<li>") >= 10
    assert client.get(reverse("own_codes"))["Location"] == reverse("own_sign_in")
    assert client.get(reverse("own_app_picture"))["Location"] == reverse("own_app")
    assert (is_in(client), is_in(elsewhere)) == (True, False)


@pytest.mark.parametrize("route", ["own_app", "own_passkey", "own_codes", "remove_own_factor"])
def test_a_browser_found_open_does_not_change_the_second_step(clinician, route):
    with_app(clinician)
    client = Client()
    client.force_login(clinician)
    before = list(Authenticator.objects.values("pk", "data"))
    answer = post(client, route, factor=before[0]["pk"], code="1", name="Mine", passkey="{}")
    assert answer["Location"].startswith(reverse("confirm"))
    assert list(Authenticator.objects.values("pk", "data")) == before
    assert client.get(reverse("own_app_picture"))["Location"].startswith(reverse("confirm"))


NO_PASSKEYS = ["", "{}", "[]", "null", '{"response": 1}', '{"response": {"userHandle": "MQ"}}', "{" * 9000]


@pytest.mark.parametrize("answer", NO_PASSKEYS)
def test_what_is_no_passkey_lets_nobody_in(clinician, answer):
    client = Client()
    client.get(reverse("sign_in_by_passkey"))
    assert client.post(reverse("sign_in_by_passkey"), {"passkey": answer}).status_code == 422
    assert not is_in(client)
    with_app(clinician)
    client = sign_in(clinician)
    assert client.post(reverse("second_step"), {"passkey": answer, "code": ""}).status_code == 422
    assert not is_in(client)


class TestWhereARoleNeedsASecondStep:
    @pytest.fixture(autouse=True)
    def needed(self, settings):
        settings.SECOND_FACTOR_FOR = ["clinician"]

    def test_who_has_none_sets_one_up_before_anything_else(self, clinician):
        client = sign_in(clinician)
        for route in ("home", "clinic:cases", "calculators", "own_password", "my_calendar"):
            assert client.get(reverse(route))["Location"] == reverse("own_sign_in")
        assert client.post(reverse("clinic:new_case"))["Location"] == reverse("own_sign_in")
        assert "Your role needs more" in client.get(reverse("own_sign_in")).content.decode()
        client.get(reverse("own_app"))
        code = code_at(timezone.now(), client.session["app_secret"])
        post(client, "own_app", code=code)
        assert is_in(client)

    def test_it_is_not_asked_of_others(self, clinician):
        assert is_in(sign_in(TechnicianFactory()))

    def test_who_signed_in_before_it_was_asked_for_signs_in_anew(self, clinician):
        client = sign_in(clinician)
        with_app(clinician)
        answer = client.get(reverse("calculators"))
        assert answer["Location"] == f"{reverse('sign_in')}?next={reverse('calculators')}"
        assert is_in_after(clinician, code_at(timezone.now()))

    def test_the_last_one_stays(self, clinician):
        with_app(clinician)
        client = sign_in(clinician)
        send_code(client, code_at(timezone.now()))
        answer = post(client, "remove_own_factor", factor=Authenticator.objects.get(type="totp").pk)
        assert answer.status_code == 422
        assert Authenticator.objects.filter(type="totp").exists()


def test_a_manager_takes_the_second_step_from_who_lost_the_phone(clinician):
    with_app(clinician)
    desk = sign_in(ManagerFactory())
    assert "second step" in desk.get(reverse("office:person", args=[clinician.pk])).content.decode()
    assert post(desk, "office:person_factors", clinician.pk).status_code == 302
    assert is_in(sign_in(clinician))


@pytest.mark.parametrize("name", ["account_login", "account_signup", "account_reset_password", "mfa_index"])
def test_no_page_of_the_library_is_reachable(name):
    with pytest.raises(NoReverseMatch):
        reverse(name)
