"""What every test of the clinic's pages does: sign in, send a form, have a case somewhere."""

import datetime
import itertools
import re

from django.urls import reverse
from django.utils import timezone

from labcases.cases.choices import Location, StageKind
from tests.factories.cases import taken_in_case
from tests.factories.people import ClinicianFactory, ManagerFactory, PracticeFactory, TechnicianFactory
from tests.factories.visits import case_at

KEYS = (f"chair-{number}" for number in itertools.count())


def an_hour_ago():
    return timezone.now() - datetime.timedelta(hours=1)


def as_clinician(client, practice=None):
    person = ClinicianFactory(practice=practice or PracticeFactory())
    client.force_login(person)
    return person


def case_of(person, **changes):
    """A case of this person's practice, taken in an hour ago, on its way to the laboratory."""
    return taken_in_case(prescriber=person, now=an_hour_ago(), **changes)


def visit_of(person, stage=StageKind.JAW_RELATION, location=Location.CLINIC, **changes):
    """A case of this person's practice that stands at a stage, and the stage."""
    return case_at(stage, location=location, prescriber=person, now=an_hour_ago(), **changes)


def get(client, name, *args, **headers):
    return client.get(reverse(name, args=args), headers=headers)


def post(client, name, /, *args, key=None, **data):
    """Send a form as its page would, with a one-time key of its own."""
    return client.post(reverse(name, args=args), {"one_time_key": key or next(KEYS), **data})


def text(response):
    return response.content.decode()


def closed_to_others(client, name, number, *, method="get"):
    """Technician and manager get 403; a foreign practice and an unknown number the same 404; nobody the door."""
    url, unknown = reverse(name, args=[number]), reverse(name, args=["26-99999-9"])
    answers = []
    for person in (TechnicianFactory(), ManagerFactory()):
        client.force_login(person)
        answers.append(getattr(client, method)(url).status_code)
    client.force_login(ClinicianFactory())
    foreign, none = (getattr(client, method)(address) for address in (url, unknown))
    client.logout()
    door = getattr(client, method)(url)
    return (
        answers == [403, 403]
        and foreign.status_code == none.status_code == 404
        and _without_keys(foreign) == _without_keys(none)
        and door.status_code == 302
        and "/sign-in" in door["Location"]
    )


def _without_keys(response):
    own = r'name="csrfmiddlewaretoken" value="\w+"|<p class="fine" id="reference">.*?</p>'
    return re.sub(own, "", text(response))
