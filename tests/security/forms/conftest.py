"""A furnished site with all its forms, made once for this folder; each test leaves it as it was."""

import pytest

from labcases.people.choices import Role
from tests.security.browsing import Form
from tests.security.site import Site, crawl, standing

PEOPLE = {"manager": Role.MANAGER, "technician": Role.TECHNICIAN, "clinician": Role.CLINICIAN}


@pytest.fixture(scope="package")
def site(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock(), standing(sides=1) as site:
        yield site


@pytest.fixture(scope="package")
def forms(site: Site, django_db_blocker) -> list[tuple[str, Form]]:
    """Each kind of form that posts, once for each person who is shown it."""
    with django_db_blocker.unblock():
        crawls = {person: crawl(site, person, each_kind=14) for person in PEOPLE}
    # Whoever signs out sends no further form.
    return [
        (person, form)
        for person, found in crawls.items()
        for form in found.forms.values()
        if form.route != "sign_out"
    ]


@pytest.fixture
def clients(site: Site):
    return {person: site.client(person) for person in PEOPLE}
