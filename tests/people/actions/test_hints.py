"""A hint put away stays away, beside those put away before."""

import pytest

from labcases.people.actions.hints import dismiss_hint, show_hints_again
from labcases.people.models import User
from tests.factories.people import TechnicianFactory

pytestmark = pytest.mark.django_db


def gone(person):
    return User.objects.get(pk=person.pk).dismissed_hints


def test_each_is_put_away_once_and_for_its_person_alone():
    person, other = TechnicianFactory(), TechnicianFactory()
    for name in ("one", "two", "one"):
        dismiss_hint(hint=name, by=person)
    assert gone(person) == ["one", "two"]
    assert gone(other) == []


def test_an_old_copy_of_the_person_takes_no_hint_back():
    person = TechnicianFactory()
    copy = User.objects.get(pk=person.pk)
    dismiss_hint(hint="one", by=person)
    dismiss_hint(hint="two", by=copy)
    assert gone(person) == ["one", "two"]


def test_all_can_be_shown_again():
    person = TechnicianFactory()
    dismiss_hint(hint="one", by=person)
    show_hints_again(by=person)
    assert gone(person) == []
