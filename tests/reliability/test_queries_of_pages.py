"""What a page asks the database: little, and no more of it where there are more rows."""

from collections.abc import Iterator

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.factories.attachments import AttachmentFactory
from tests.factories.cases import ImportLineFactory
from tests.factories.people import (
    BenchDeviceFactory,
    ClinicianFactory,
    ManagerFactory,
    PracticeFactory,
    SavedViewFactory,
    TechnicianFactory,
)
from tests.factories.planning import ProposalFactory
from tests.factories.post import LetterFactory
from tests.factories.tickets import PrintRunFactory
from tests.pages.test_permissions import TABLE, all_routes, case_at_the_bench
from tests.security.site import Site, furnish, furnished

pytestmark = pytest.mark.django_db
AUDIENCES = ("manager", "technician", "clinician")
MOST = 12
# Everything that is known of a case, from every table that has some of it, into one file.
WHOLE_RECORD = ("case_record_json", "case_record_pdf")
MOST_OF_A_RECORD = 40
# What a transaction begins and ends with is not asked for.
NO_QUESTION = ("SAVEPOINT", "RELEASE", "BEGIN", "COMMIT")


def pages(site: Site) -> Iterator[tuple[str, str, str]]:
    """Every address that can be opened, with the person who opens it."""
    about = case_at_the_bench(site.people, "clinician") | {"": []}
    for route in sorted(all_routes()):
        row = TABLE[route]
        if "GET" in row.methods.split():
            address = reverse(route, args=about[row.about])
            yield from ((route, person, address) for person in AUDIENCES if person in row.people)


def questions(client: Client, address: str) -> tuple[int, int]:
    """The status of the answer, and how often the database was asked for it."""
    with CaptureQueriesContext(connection) as asked:
        status = client.get(address).status_code
    return status, sum(not query["sql"].startswith(NO_QUESTION) for query in asked)


def most(page: str) -> int:
    return MOST_OF_A_RECORD if any(name in page for name in WHOLE_RECORD) else MOST


def all_questions(clients: dict[str, Client], visits: list[tuple[str, str, str]]) -> dict[str, int]:
    found = {}
    for route, person, address in visits:
        status, number = questions(clients[person], address)
        if status == 200:
            found[f"{route} as {person}"] = number
    return found


def grow(site: Site) -> None:
    """More of everything that a list could hold, also of what one case, person or practice has."""
    side = site.sides[0]
    for _ in range(2):
        furnish(side, site.manager, site.technician)
    for case in side.cases[:3]:
        AttachmentFactory.create_batch(2, case=case, stage=case.stages.first(), by=side.clinician)
    ClinicianFactory.create_batch(3, practice=side.practice)
    LetterFactory.create_batch(3, person=side.clinician)
    SavedViewFactory.create_batch(3, owner=site.manager)
    PrintRunFactory.create_batch(3)
    ImportLineFactory.create_batch(3)
    ProposalFactory.create_batch(3)
    BenchDeviceFactory.create_batch(3)
    for factory in (PracticeFactory, ManagerFactory, TechnicianFactory):
        factory.create_batch(4)


def test_pages_ask_the_database_little_and_no_more_with_more_rows(proof):
    site = furnished(sides=1)
    clients = {person: site.client(person) for person in AUDIENCES}
    visits = list(pages(site))
    few = all_questions(clients, visits)
    grow(site)
    many = all_questions(clients, visits)
    assert not (much := [f"{page}: {number}" for page, number in few.items() if number > most(page)]), much
    more = [f"{page}: {few[page]}, then {number}" for page, number in many.items() if number > few[page]]
    assert not more, more
    proof("queries-of-pages").reached(len(many), "pages, each for everybody who may see it")
