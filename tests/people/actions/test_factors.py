"""Codes are taken once; the last factor of who needs one stays; secrets are not in the rows."""

import datetime
import itertools

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.internal.auth import format_hotp_value, hotp_value
from django.test import override_settings

from labcases.people.actions import factors
from labcases.people.queries import factors_of, has_second_factor
from labcases.people.refusals import NotAllowed, Refused
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory
from tests.reliability.together import at_once

pytestmark = pytest.mark.django_db

# The secret of RFC 6238, appendix B, in base32, and its codes' last six digits.
SECRET = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"
PUBLISHED = [(59, "287082"), (1111111109, "081804"), (1234567890, "005924"), (2000000000, "279037")]
NOW = datetime.datetime(2026, 3, 2, 9, 0, tzinfo=datetime.UTC)
STEP = datetime.timedelta(seconds=30)


def code_at(moment, secret=SECRET):
    return format_hotp_value(hotp_value(secret, int(moment.timestamp()) // 30))


@pytest.fixture
def person(db):
    return ClinicianFactory()


@pytest.fixture
def codes(person):
    """The recovery codes of a person who has set an app up just before."""
    before = NOW - 10 * STEP
    return factors.add_app(person, secret=SECRET, code=code_at(before), now=before)


def take(person, code, now=NOW):
    return factors.take_code(person, code=code, now=now)


@pytest.mark.parametrize(("seconds", "code"), PUBLISHED)
def test_codes_are_those_of_rfc_6238(person, seconds, code):
    moment = datetime.datetime.fromtimestamp(seconds, tz=datetime.UTC)
    factors.add_app(person, secret=SECRET, code=code, now=moment)
    assert factors_of(person).app is not None


def test_a_code_is_taken_once(person, codes):
    code = code_at(NOW)
    assert [take(person, code), take(person, code)] == ["app", ""]
    assert take(person, code_at(NOW - STEP)) == ""
    assert take(person, code_at(NOW + STEP), now=NOW + STEP) == "app"


def test_the_code_that_set_the_app_up_does_not_sign_in(person):
    factors.add_app(person, secret=SECRET, code=code_at(NOW), now=NOW)
    assert take(person, code_at(NOW)) == ""


@pytest.mark.parametrize(("steps", "fits"), [(-2, ""), (-1, "app"), (0, "app"), (1, "app"), (2, "")])
def test_a_clock_may_be_one_step_off(person, codes, steps, fits):
    assert take(person, code_at(NOW + steps * STEP)) == fits


def test_a_code_with_a_gap_as_apps_show_it_is_taken(person, codes):
    code = code_at(NOW)
    assert take(person, f" {code[:3]} {code[3:]}") == "app"


@pytest.mark.parametrize("typed", ["", "0", "000000", "１２３４５６", "\x00", "9" * 40, "-1"])
def test_what_is_no_code_fits_nothing(person, codes, typed):
    assert take(person, typed) == ""


def test_a_recovery_code_is_taken_once_and_counted_down(person, codes):
    assert (len(codes), len(set(codes))) == (10, 10)
    assert take(person, f"{codes[3][:5]} {codes[3][5:]}") == "recovery"
    assert take(person, codes[3]) == ""
    assert factors_of(person).codes_left == 9
    assert [take(person, code) for code in codes if code != codes[3]] == ["recovery"] * 9


def test_new_recovery_codes_replace_those_before(person, codes):
    new = factors.new_recovery_codes(person)
    assert take(person, codes[0]) == ""
    assert take(person, new[0]) == "recovery"


def test_recovery_codes_alone_are_no_second_step(person):
    with pytest.raises(Refused, match="set one up first"):
        factors.new_recovery_codes(person)
    assert not has_second_factor(person)


def test_another_persons_code_does_not_fit(person, codes):
    other = TechnicianFactory()
    assert take(other, code_at(NOW)) == ""
    assert take(other, codes[0]) == ""


@pytest.mark.parametrize("wrong", ["000000", "", "28708"])
def test_an_app_is_set_up_only_with_a_code_of_its_own(person, wrong):
    with pytest.raises(Refused, match="does not fit"):
        factors.add_app(person, secret=SECRET, code=wrong, now=NOW)
    assert not Authenticator.objects.exists()


def test_the_last_factor_of_who_needs_one_stays_until_there_is_another(person, codes):
    app = factors_of(person).app
    with pytest.raises(Refused, match="Add another one"):
        factors.remove_factor(person, pk=app.pk, is_needed=True)
    factors.add_passkey(person, name="Key", credential={}, sign_count=0, now=NOW)
    factors.remove_factor(person, pk=app.pk, is_needed=True)
    assert factors_of(person).codes_left == 10


def test_without_a_factor_recovery_codes_end_too(person, codes):
    factors.remove_factor(person, pk=factors_of(person).app.pk, is_needed=False)
    assert not Authenticator.objects.exists()


def test_nobody_removes_somebody_elses(person, codes):
    with pytest.raises(Refused, match="removed already"):
        factors.remove_factor(TechnicianFactory(), pk=factors_of(person).app.pk, is_needed=False)
    assert has_second_factor(person)


def test_a_manager_takes_the_second_step_from_who_lost_theirs(person, codes):
    for someone in (TechnicianFactory(), ClinicianFactory(practice=person.practice)):
        with pytest.raises(NotAllowed):
            factors.reset_factors(person, by=someone)
    factors.reset_factors(person, by=ManagerFactory())
    assert not Authenticator.objects.exists()


@pytest.mark.parametrize(
    ("before", "now", "goes_on"), [(0, 0, True), (0, 1, True), (5, 6, True), (5, 5, False), (5, 0, False)]
)
def test_a_passkey_whose_counter_does_not_go_on_may_be_a_copy(person, before, now, goes_on):
    factors.add_passkey(person, name="Key", credential={}, sign_count=before, now=NOW)
    (key,) = factors_of(person).passkeys
    if goes_on:
        factors.passkey_used(key, sign_count=now, now=NOW)
        assert factors_of(person).passkeys[0].last_used_at == NOW
    else:
        with pytest.raises(Refused, match="copied"):
            factors.passkey_used(key, sign_count=now, now=NOW)


def test_no_row_holds_a_secret_that_can_be_read(person, codes):
    stored = str(list(Authenticator.objects.values_list("data", flat=True)))
    assert SECRET not in stored
    assert not [code for code in codes if code in stored]


def test_a_site_with_another_key_takes_no_old_code_but_keeps_working(person, codes, settings):
    old = settings.SECRET_KEY
    with override_settings(SECRET_KEY="another " * 9):
        assert take(person, code_at(NOW)) == ""
        assert take(person, codes[0]) == ""
    with override_settings(SECRET_KEY="another " * 9, SECRET_KEY_FALLBACKS=[old]):
        assert take(person, code_at(NOW)) == "app"


@pytest.mark.django_db(transaction=True)
def test_of_many_tries_with_one_code_at_the_same_moment_one_succeeds():
    person = ClinicianFactory()
    codes = factors.add_app(person, secret=SECRET, code=code_at(NOW - 10 * STEP), now=NOW - 10 * STEP)
    for code, what in ((code_at(NOW), "app"), (codes[0], "recovery")):
        taken = at_once(*itertools.repeat(lambda code=code: take(person, code), 4))
        assert sorted(taken) == ["", "", "", what]
