import pytest

from labcases.people.refusals import NotAllowed
from labcases.post.actions.subscribing import choose_letters
from labcases.post.choices import Rhythm
from labcases.post.models import Line
from tests.factories.people import ClinicianFactory, ManagerFactory
from tests.factories.post import LetterFactory, LineFactory, SubscriptionFactory

pytestmark = pytest.mark.django_db


def test_nobody_has_letters_sent_to_somebody_else():
    for by in (ManagerFactory(), ClinicianFactory()):
        with pytest.raises(NotAllowed):
            choose_letters(
                person=ClinicianFactory(),
                by=by,
                rhythm=Rhythm.DAILY,
                address="a@b.example",
                whole_practice=False,
                expected_version=0,
            )


def test_who_wants_no_morning_letter_any_more_gets_nothing_of_what_waited_for_it():
    chosen = SubscriptionFactory(rhythm=Rhythm.DAILY)
    LineFactory(person=chosen.person)
    kept = LineFactory(person=chosen.person, letter=LetterFactory())
    choose_letters(
        person=chosen.person,
        by=chosen.person,
        rhythm=Rhythm.NEVER,
        address="",
        whole_practice=False,
        expected_version=1,
    )
    assert list(Line.objects.all()) == [kept]
