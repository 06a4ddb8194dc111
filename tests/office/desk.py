"""What every test of the office's pages does: sign in, send a form, bring a case to a stage."""

import datetime
import itertools

from django.urls import reverse
from django.utils import timezone

from labcases.cases.actions.crossings import hand_to_clinic, receive_at_laboratory
from labcases.cases.actions.moves import finish_stage, start_stage
from labcases.cases.choices import Location, Place
from tests.factories.cases import taken_in_case
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory

KEYS = (f"key-{number}" for number in itertools.count())


def as_manager(client):
    manager = ManagerFactory()
    client.force_login(manager)
    return manager


def post(client, name, /, *args, key=None, **data):
    """Send a form as its page would, with a one-time key of its own."""
    return client.post(reverse(name, args=args), {"one_time_key": key or next(KEYS), **data})


def case_now(**changes):
    """A case taken in an hour ago, so that what the pages do comes after it."""
    return taken_in_case(now=timezone.now() - datetime.timedelta(hours=1), **changes)


def receive(case, by):
    receive_at_laboratory(
        case=case, agent="Label A", minutes=10, minutes_required=10, by=by, now=timezone.now()
    )


def work_through(case, last, by):
    """Every stage up to `last`, with the crossings between; `last` is where the case then stands."""
    for _ in range(20):
        case.refresh_from_db()
        stage = case.current_stage
        if stage.kind == last:
            return stage
        if case.location == Location.TO_LABORATORY:
            receive(case, by)
        if stage.place == Place.CLINIC:
            hand_to_clinic(case=case, by=by, now=timezone.now())
        else:
            start_stage(stage=stage, by=by, expected_version=stage.version, now=timezone.now())
            stage.refresh_from_db()
        finish_stage(stage=stage, by=by, expected_version=stage.version, now=timezone.now())
    raise AssertionError("the path has no such stage")


def refused_to_everybody_else(client, name, *args, method="get"):
    """A technician and a clinician get 403, who is not signed in gets the door."""
    url = reverse(name, args=args)
    answers = []
    for person in (TechnicianFactory(), ClinicianFactory()):
        client.force_login(person)
        answers.append(getattr(client, method)(url).status_code)
    client.logout()
    door = getattr(client, method)(url)
    return answers == [403, 403] and door.status_code == 302 and "/sign-in" in door["Location"]
