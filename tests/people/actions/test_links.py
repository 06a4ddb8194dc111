"""A link lets one person set a password, once, for a while; the newest one only."""

import datetime

import pytest
from django.core.exceptions import ValidationError

from labcases.people.actions.links import INVITATION_LASTS, RESET_LASTS, make_link, set_password_by_link
from labcases.people.models import SignInLink, User
from labcases.people.queries import open_link
from labcases.people.refusals import NotAllowed, Refused
from tests.factories.people import PASSWORD, ClinicianFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db

NOW = datetime.datetime(2026, 3, 2, 9, 0, tzinfo=datetime.UTC)
WORDS = "wax rim and facebow"
SECOND = datetime.timedelta(seconds=1)


@pytest.fixture
def manager():
    return ManagerFactory()


@pytest.fixture
def technician():
    return TechnicianFactory()


def use(key, *, now=NOW, password=WORDS):
    return set_password_by_link(key=key, password=password, now=now)


def test_a_link_sets_the_password_once(manager, technician):
    key, _ = make_link(technician, by=manager, now=NOW)
    assert use(key) == technician
    assert User.objects.get(pk=technician.pk).check_password(WORDS)
    with pytest.raises(Refused, match="has been used"):
        use(key, password="another thing")
    assert User.objects.get(pk=technician.pk).check_password(WORDS)


def test_an_invitation_lasts_seven_days_and_a_way_back_two_hours(manager, technician):
    new = TechnicianFactory(password=None)
    new.set_password(None)
    new.save()
    for person, lasts in ((new, INVITATION_LASTS), (technician, RESET_LASTS)):
        key, link = make_link(person, by=manager, now=NOW)
        assert link.expires_at == NOW + lasts
        with pytest.raises(Refused):
            use(key, now=NOW + lasts)
        assert use(key, now=NOW + lasts - SECOND) == person
    assert (INVITATION_LASTS.days, RESET_LASTS.total_seconds()) == (7, 7200)


def test_a_newer_link_makes_the_older_one_void(manager, technician):
    first, _ = make_link(technician, by=manager, now=NOW)
    other, _ = make_link(TechnicianFactory(), by=manager, now=NOW)
    second, _ = make_link(technician, by=manager, now=NOW)
    with pytest.raises(Refused):
        use(first)
    assert use(second) == technician
    assert use(other) != technician


def test_somebody_s_open_link_stays_when_another_person_gets_one_or_uses_it(manager, technician):
    own, _ = make_link(technician, by=manager, now=NOW)
    another = TechnicianFactory()
    key, _ = make_link(another, by=manager, now=NOW)
    assert open_link(own, now=NOW).user == technician
    assert use(key) == another
    assert open_link(own, now=NOW).user == technician


def test_a_password_that_will_not_do_leaves_the_link_open(manager, technician):
    key, _ = make_link(technician, by=manager, now=NOW)
    with pytest.raises(ValidationError):
        use(key, password="short")
    assert use(key) == technician


def test_who_has_left_gets_no_link_and_uses_none(manager, technician):
    key, _ = make_link(technician, by=manager, now=NOW)
    User.objects.filter(pk=technician.pk).update(is_active=False)
    with pytest.raises(Refused, match="has been used"):
        use(key)
    with pytest.raises(Refused, match="no longer works with us"):
        make_link(User.objects.get(pk=technician.pk), by=manager, now=NOW)
    assert User.objects.get(pk=technician.pk).check_password(PASSWORD)


@pytest.mark.parametrize("someone", [TechnicianFactory, ClinicianFactory])
def test_only_a_manager_makes_links(someone, technician):
    with pytest.raises(NotAllowed):
        make_link(technician, by=someone(), now=NOW)


def test_the_key_itself_is_kept_nowhere(manager, technician):
    key, link = make_link(technician, by=manager, now=NOW)
    row = SignInLink.objects.filter(pk=link.pk).values().get()
    assert len(key) >= 43
    assert not [name for name, value in row.items() if key in str(value)]
