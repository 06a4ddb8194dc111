"""In another language a page says other words; what machines read of it stays as it was."""

import re
import uuid
from html.parser import HTMLParser

import pytest
from django.urls import reverse

from labcases.measurements.actions.readings import record_readings
from labcases.people.actions.lists import choose_language
from labcases.people.refusals import Refused
from tests.bench.benchwork import an_hour_ago, stage_at_work
from tests.factories.measurements import entry
from tests.factories.people import ManagerFactory, TechnicianFactory
from tests.measurements.derivations.made import CASTS
from tests.security.site import crawl, furnished

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
GERMAN = {"Accept-Language": "de-DE,de;q=0.9,en;q=0.5"}
READ_BY_PEOPLE = {"aria-label", "title", "alt", "placeholder", "data-label"}
# What a box holds that a browser or a script reads, and not a person.
FOR_MACHINES = {"hidden", "date", "datetime-local", "time", "checkbox", "radio", "range"}
CHANCE = re.compile(r"csrf|one_time_key")
COMMA = re.compile(r"\d,\d")


class ForMachines(HTMLParser):
    """Numbers of drawings with a comma in them, and values of boxes that nobody types into."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.read: list[tuple[str, str, str]] = []
        self._depth = 0
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self._depth += tag == "svg"
        if self._depth:
            self.read += [
                (tag, name, value)
                for name, value in given.items()
                if name not in READ_BY_PEOPLE and COMMA.search(value)
            ]
        if tag == "input" and given.get("type") in FOR_MACHINES and not CHANCE.search(given.get("name", "")):
            self.read.append((tag, given.get("name", ""), given.get("value", "")))

    def handle_endtag(self, tag: str) -> None:
        self._depth -= tag == "svg"


def choose(client, language: str):
    return client.post(reverse("choose_language"), {"language": language, "one_time_key": str(uuid.uuid4())})


def text_of_page(client, address: str, **more) -> str:
    return client.get(address, **more).content.decode()


def test_pages_are_in_the_language_that_a_person_chose_else_in_the_browsers(client):
    person = TechnicianFactory()
    client.force_login(person)
    address = reverse("bench:work")
    assert "My work" in text_of_page(client, address)
    assert "Meine Arbeit" in text_of_page(client, address, headers=GERMAN)
    assert choose(client, "en-gb").status_code == 302
    assert "My work" in text_of_page(client, address, headers=GERMAN)
    choose(client, "de")
    answer = client.get(address)
    assert '<html lang="de">' in answer.content.decode()
    assert "Meine Arbeit" in answer.content.decode()
    assert answer.headers["Content-Language"] == "de"


def test_a_language_that_the_site_has_not_is_refused(client):
    person = ManagerFactory()
    client.force_login(person)
    with pytest.raises(Refused):
        choose_language(code="xx", by=person)
    assert choose(client, "xx").status_code == 422
    person.refresh_from_db()
    assert person.language == ""


def test_the_door_is_in_the_browsers_language(client):
    answer = client.get(reverse("sign_in"), headers=GERMAN)
    assert "Anmelden" in answer.content.decode()
    assert "Accept-Language" in answer.headers["Vary"]


@pytest.mark.parametrize("person", ["technician", "clinician"])
def test_drawings_and_what_machines_read_are_the_same_in_every_language(person):
    site = furnished(sides=1)
    rims = stage_at_work(by=site.technician, prescriber=site.sides[0].clinician)
    cast = [
        entry(name, value, arch=arch, confirmed=True) for arch in CASTS for name, value in CASTS[arch].items()
    ]
    record_readings(stage=rims, entries=cast, by=site.technician, now=an_hour_ago())
    reached = [
        address
        for address, text in crawl(site, person, each_kind=2).pages.items()
        if "text/html" in text[:400] and "?" not in address
    ]
    client, differing = site.client(person), []
    for address in reached:
        english = ForMachines(text_of_page(client, address)).read
        german = ForMachines(text_of_page(client, address, headers=GERMAN)).read
        if english != german:
            differing.append((address, sorted(set(english) ^ set(german))[:4]))
    assert len(reached) > 20
    assert differing == []
