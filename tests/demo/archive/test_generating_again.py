"""Generated anew, an archive is the same; and it goes into an empty site only."""

import datetime

import pytest
from django.db import transaction

from labcases.cases.models import Case, Event
from labcases.demo.archive.generating import generate_archive
from labcases.measurements.models import Reading
from labcases.people.models import Practice
from labcases.people.refusals import Refused
from tests.factories.people import ManagerFactory

pytestmark = pytest.mark.django_db

NOW = datetime.datetime(2026, 3, 4, 15, 0, tzinfo=datetime.UTC)


def generated(seed):
    """What a seed gives: cases, readings and events without their keys; nothing of it stays."""
    with transaction.atomic():
        generate_archive(cases=12, seed=seed, now=NOW, lives=1, stories=())
        found = [
            sorted(Case.objects.values_list("number", "practice__code", "patient_code", "opened_at")),
            sorted(
                Reading.objects.values_list("case__number", "stage__position", "quantity", "arch", "value")
            ),
            sorted(Event.objects.values_list("case__number", "at", "act", "by__username")),
        ]
        transaction.set_rollback(True)
    return found


def test_the_same_seed_gives_the_same_archive():
    first = generated(3)
    assert len(first[0]) == 12
    assert first == generated(3)


def test_another_seed_gives_another():
    assert generated(3) != generated(4)


def test_a_site_with_people_of_its_own_keeps_what_it_has():
    ManagerFactory()
    with pytest.raises(Refused, match="people of its own"):
        generate_archive(cases=10, seed=1, now=NOW)
    assert not Case.objects.exists()
    assert not Practice.objects.exists()
