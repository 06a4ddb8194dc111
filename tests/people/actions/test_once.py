"""A form is answered once, however often it is sent."""

import pytest
from django.db import IntegrityError

from labcases.people.actions.once import do_once
from labcases.people.models import OneTimeKey, Practice
from labcases.people.refusals import Conflict, Refused
from tests.factories.people import PracticeFactory, TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def user():
    return TechnicianFactory()


def adding(name, answer="/there"):
    def act():
        PracticeFactory(name=name)
        return answer

    return act


def added():
    return list(Practice.objects.order_by("pk").values_list("name", flat=True))


def test_the_same_key_again_does_nothing_and_leads_to_the_first_answer(user):
    assert do_once(key="k1", user=user, act=adding("first", "/first")) == "/first"
    assert do_once(key="k1", user=user, act=adding("second", "/second")) == "/first"
    assert added() == ["first"]


def test_another_key_is_another_form(user):
    do_once(key="k1", user=user, act=adding("first"))
    assert do_once(key="k2", user=user, act=adding("second", "/second")) == "/second"
    assert added() == ["first", "second"]


def test_the_same_key_of_another_person_is_another_form(user):
    do_once(key="k1", user=user, act=adding("first"))
    assert do_once(key="k1", user=TechnicianFactory(), act=adding("second", "/second")) == "/second"
    assert added() == ["first", "second"]


def test_keys_that_run_into_the_persons_number_stay_apart():
    one, eleven = TechnicianFactory(pk=1001), TechnicianFactory(pk=100)
    do_once(key="1:k", user=eleven, act=adding("first"))
    do_once(key=":k", user=one, act=adding("second"))
    assert added() == ["first", "second"]


@pytest.mark.parametrize("error", [Conflict("too late"), Refused("not so"), RuntimeError("power cut")])
def test_an_act_that_fails_frees_its_key_and_leaves_nothing(user, error):
    def fail():
        PracticeFactory(name="half")
        raise error

    with pytest.raises(type(error)):
        do_once(key="k1", user=user, act=fail)
    assert (added(), OneTimeKey.objects.count()) == ([], 0)
    assert do_once(key="k1", user=user, act=adding("whole", "/whole")) == "/whole"
    assert added() == ["whole"]


def test_a_rule_of_the_database_that_the_act_breaks_is_not_taken_for_a_second_sending(user):
    PracticeFactory(code="ELM")
    with pytest.raises(IntegrityError):
        do_once(key="k1", user=user, act=lambda: str(PracticeFactory(code="ELM")))
    assert OneTimeKey.objects.count() == 0


def test_a_form_without_a_key_is_refused_before_anything_is_done(user):
    with pytest.raises(Refused, match="Load it again"):
        do_once(key="", user=user, act=adding("first"))
    assert added() == []


@pytest.mark.parametrize("key", ["k" * 10_000, "\x00", "\ud800", "🦷", "'; drop table"])
def test_whatever_a_browser_sends_as_key_is_kept_as_a_digest(user, key):
    do_once(key=key, user=user, act=adding("first"))
    do_once(key=key, user=user, act=adding("second"))
    assert added() == ["first"]
    (kept,) = OneTimeKey.objects.all()
    assert len(kept.key) == 64
    assert set(kept.key) <= set("0123456789abcdef")
