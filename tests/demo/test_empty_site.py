"""The demo goes into an empty site, on whatever day and at whatever hour."""

import datetime

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from labcases.cases.models import Case, Event
from labcases.demo.loading import load_demo
from labcases.people.models import User
from labcases.people.refusals import Refused
from tests.factories.people import ManagerFactory

pytestmark = pytest.mark.django_db

MONDAY = datetime.datetime(2026, 3, 2, 5, 0, tzinfo=datetime.UTC)


def test_a_site_with_people_of_its_own_takes_no_demo_people_in():
    """Their password is known to everybody."""
    someone = ManagerFactory()
    with pytest.raises(Refused, match="empty site"):
        load_demo(now=MONDAY)
    with pytest.raises(CommandError, match="empty site"):
        call_command("load_demo")
    assert list(User.objects.all()) == [someone]


def holds_what_it_promises(now):
    shown, day = load_demo(now=now), now.date()
    assert shown.current_stage.kind == "occlusion_rims"
    assert not Event.objects.filter(at__gt=now).exists()
    late = Case.objects.get(notes__contains="the record base should have been back")
    silent = Case.objects.get(notes__contains="its day has passed without a word")
    assert late in Case.objects.late(day)
    assert silent in Case.objects.overdue_at_clinic(day)


def test_early_on_a_monday_it_holds_what_it_promises():
    holds_what_it_promises(MONDAY)


@pytest.mark.full
@pytest.mark.parametrize("days", range(1, 8))
def test_on_any_day_of_the_week_it_holds_what_it_promises(days):
    holds_what_it_promises((MONDAY + datetime.timedelta(days=days)).replace(hour=3 * days))
