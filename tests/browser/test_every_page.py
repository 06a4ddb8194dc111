"""Every page as each audience sees it in a real Chromium: what axe says of it, and what a ruler says.

A page is found by its route, so that a new one is looked at from the day it has an address. In a usual run a page is
seen by one of its audiences and in one of six looks (three widths, two themes), the next page by the next and in the
next; the long form sees all of them in all six.
"""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.db.models import F
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from labcases.cases.models import Stage
from labcases.measurements.actions.readings import record_readings
from labcases.pages.calculator_form import example_as_typed
from labcases.pages.entering import CONFIRMED
from labcases.prosthodontics.calculators import calculator
from tests.bench.benchwork import an_hour_ago, stage_at_work
from tests.factories.measurements import entry
from tests.measurements.derivations.made import CASTS
from tests.pages.test_permissions import TABLE, UNKNOWN, all_routes, case_at_the_bench
from tests.security.site import Site, furnished

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

NOBODY = ""
AUDIENCES = ("manager", "technician", "clinician")
LOOKS = tuple(itertools.product((390, 768, 1280), ("light", "dark")))
# The narrowest screen, or 1280 px magnified four times.
NARROWEST = 320
SENT = ("start", "record", "draft", "tick", "tick_all", "hold", "resume", "ticket", "hand_over")
# Routes that answer a GET with something else than a page of their own.
NO_PAGE = {
    "help": "leads to the help of whoever asks",
    "home": "leads to the first page of whoever asks",
    "ticket_pdf": "a PDF",
    "calendar_feed": "a calendar file",
    "alive": "an answer for a probe",
    "ready": "an answer for a probe",
    "own_app_picture": "a picture",
    "own_codes": "leads back unless codes were made a moment ago",
    "second_step": "leads to the door unless a password was right a moment ago",
    "at_the_bench": "leads home unless the browser is a bench device",
    "office:export": "a file",
    "office:print_run_pdf": "a PDF",
    "office:import_rest": "a file",
    "office:collections_sheet": "a PDF",
    "office:case_record_pdf": "a PDF",
    "clinic:case_record_pdf": "a PDF",
    "office:case_record_json": "a file",
    "clinic:case_record_json": "a file",
    "attachment_file": "the file as it came",
    "attachment_small": "a picture",
    **{
        f"bench:{name}": "leads back to the sheet: what it does is sent by its forms"
        for name in (*SENT, "batch_do", "undo")
    },
}
# Pages that are there only at a moment that this walk may not meet; their own rooms' tests bring it about.
SELDOM = {
    "ticket": "a page only where the paper is old; else it leads to what the paper is about",
}
# Pages that look different from one object to the next: so many of them are looked at.
MANY = {
    "bench:sheet": 5,
    "office:case": 3,
    "clinic:case": 3,
    "clinic:record": 2,
    "calculator": 8,
    "help_page": 3,
}
DRAWN = ("arch_form", "rim_outline", "tooth_strip")
CALCULATORS = (*DRAWN, "freeway_space", "curing", "mould_ranking", "tooth_sizes", "individuals_chart")


@dataclass(frozen=True)
class Visit:
    route: str
    person: str
    address: str


@pytest.fixture
def site(transactional_db) -> Site:
    """A laboratory with a case at each place of its way, and two with all that can be drawn of a cast."""
    made = furnished(sides=1)
    rims = stage_at_work(by=made.technician, prescriber=made.sides[0].clinician)
    cast = [
        entry(name, value, arch=arch, confirmed=True) for arch in CASTS for name, value in CASTS[arch].items()
    ]
    record_readings(stage=rims, entries=cast, by=made.technician, now=an_hour_ago())
    stage_at_work(by=made.technician, kind="tooth_arrangement")
    return made


def objects(site: Site) -> dict[str, list[list[object]]]:
    """What the address of a page can be about, as the parts of the address; the liveliest first."""
    mine = site.sides[0]
    at = [each for each in Stage.objects.with_case().order_by("-pk") if each.case.current_stage_id == each.pk]
    plain = {about: [parts] for about, parts in case_at_the_bench(site.people, "clinician").items()}
    return plain | {
        "": [[]],
        "case": [[stage.case.number] for stage in at] + [[case.number] for case in mine.cases],
        "stage": [[stage.pk] for stage in at],
        "calculator": [[name] for name in CALCULATORS],
        "help page": [["office"], ["bench"], ["clinic"]],
    }


def visits(site: Site, *, by_all: bool) -> Iterator[Visit]:
    """Every page that there is, by each audience that may see it or by one of them in turn; the door by nobody."""
    made, missing = objects(site), []
    for number, route in enumerate(sorted(all_routes())):
        row = TABLE[route]
        if "GET" not in row.methods.split():
            continue
        people = [NOBODY] if "anonymous" in row.people else [each for each in AUDIENCES if each in row.people]
        chosen = people if by_all else [people[number % len(people)]]
        for turn, person in enumerate(chosen):
            pages = pages_of(route, client_of(site, person), made[row.about])
            if route in NO_PAGE:
                assert not pages, f"{route} has a page after all: {NO_PAGE[route]}"
                continue
            if not pages and route not in SELDOM:
                missing.append(f"{route} as {person or 'nobody'}")
            # Pages that look alike to several audiences are dealt out among them.
            yield from (Visit(route, person, address) for address in pages[turn :: len(chosen)] or pages[:1])
    assert not missing, f"no page of {missing}: add to `case_at_the_bench`, or say why in NO_PAGE"
    yield Visit("not found", "clinician", reverse("clinic:case", args=UNKNOWN["case"]))


def client_of(site: Site, person: str) -> Client:
    """Signed in, and having lately proved again who it is, as pages about the own sign-in ask."""
    if person == NOBODY:
        return Client()
    client = site.client(person)
    session = client.session
    session[CONFIRMED] = timezone.now().timestamp()
    session.save()
    return client


def pages_of(route: str, client: Client, about: list[list[object]]) -> list[str]:
    """The addresses of a route that answer with a page, as many as are looked at."""
    addresses = (with_example(route, reverse(route, args=each), each) for each in about)
    found = (address for address in addresses if is_page(client, address))
    return list(itertools.islice(found, MANY.get(route, 1)))


def is_page(client: Client, address: str) -> bool:
    answer = client.get(address)
    return answer.status_code == 200 and answer.headers["Content-Type"].startswith("text/html")


def with_example(route: str, address: str, arguments: list[object]) -> str:
    """A calculator with its example worked out; what is too long for an address is opened empty.

    What is done with many cases is asked of one.
    """
    if route == "office:bulk":
        stage = Stage.objects.with_case().filter(case__current_stage=F("pk")).order_by("pk").first()
        return f"{address}?do=give&stage={stage.pk}-{stage.version}-{stage.case.version}"
    if route != "calculator":
        return address
    typed = "&".join(f"{key}={text}" for key, text in example_as_typed(calculator(str(arguments[0]))))
    return address if "\n" in typed else f"{address}?{typed.replace(' ', '+')}"


# ---- what is looked for ----

RULES = {
    "runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]},
    "resultTypes": ["violations"],
}
AT_THE_BENCH = {**RULES, "rules": {"color-contrast-enhanced": {"enabled": True}}}
ASK_AXE = """rules => axe.run(document, rules).then(found => found.violations.map(
  each => `${each.id}: ${each.nodes.map(node => node.html.slice(0, 160)).slice(0, 3).join(" | ")}`))"""
# A word that is a link within a sentence is as high as its line; a tick is as large as the label that ticks it.
MEASURE = """smallest => [...document.querySelectorAll(
    ":is(header, main, footer) :is(a, button, select, textarea, summary, input:not([type=hidden]))")]
  .filter(part => !(part.matches("a") && getComputedStyle(part).display === "inline"))
  .map(part => part.matches("[type=checkbox], [type=radio]") && part.closest("label") || part)
  .filter(part => part.checkVisibility({visibilityProperty: true}) && !part.matches(".visually-hidden, .skip"))
  .map(part => [part.outerHTML.slice(0, 120), part.getBoundingClientRect()])
  .filter(([, box]) => box.width && Math.min(box.width, box.height) < smallest - 0.5)
  .map(([words, box]) => `${Math.round(box.width)} × ${Math.round(box.height)}, not ${smallest}: ${words}`)"""
TOO_WIDE = "() => document.documentElement.scrollWidth - innerWidth"


def faults(page) -> list[str]:
    """What a ruler and axe find on the page as it stands."""
    bench = page.evaluate("document.body.classList.contains('room-bench')")
    return [
        *too_wide(page),
        *page.evaluate(MEASURE, 48 if bench else 24),
        *page.evaluate(ASK_AXE, AT_THE_BENCH if bench else RULES),
    ]


def too_wide(page) -> list[str]:
    beyond = page.evaluate(TOO_WIDE)
    return [f"{beyond} px too wide"] if beyond > 0 else []


class Eyes:
    """One page of Chromium for each audience, signed in, which changes its looks rather than being opened anew."""

    def __init__(self, desk, site: Site, base: str) -> None:
        self._pages = {person: desk.open() for person in (NOBODY, *AUDIENCES)}
        for person, page in self._pages.items():
            if person:
                key = client_of(site, person).cookies[settings.SESSION_COOKIE_NAME].value
                page.context.add_cookies([{"name": settings.SESSION_COOKIE_NAME, "value": key, "url": base}])

    def see(self, visit: Visit, looks: list[tuple[int, str]]) -> dict[str, list[str]]:
        """The faults of a page by look; every disclosure is opened first."""
        page = self._pages[visit.person]
        self._wear(page, looks[0])
        page.goto(visit.address)
        page.evaluate("document.querySelectorAll('main details').forEach(part => { part.open = true })")
        page.evaluate(Axe().axe_script)
        found = {}
        for look in looks:
            self._wear(page, look)
            if seen := faults(page):
                found[f"{visit.route} as {visit.person or 'nobody'}, {look[0]} px {look[1]}"] = seen
        self._wear(page, (NARROWEST, looks[-1][1]))
        if seen := too_wide(page):
            found[f"{visit.route} as {visit.person or 'nobody'}, {NARROWEST} px"] = seen
        return found

    @staticmethod
    def _wear(page, look: tuple[int, str]) -> None:
        width, theme = look
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(color_scheme=theme)


@pytest.mark.short
@pytest.mark.timeout(900)
def test_every_page_is_readable_reachable_and_wide_enough(desk, site, live_server):
    eyes, found = Eyes(desk, site, live_server.url), {}
    for number, visit in enumerate(visits(site, by_all=False)):
        found |= eyes.see(visit, [LOOKS[number % len(LOOKS)]])
    assert not found, report(found)


@pytest.mark.full
@pytest.mark.timeout(3600)
def test_every_page_is_readable_reachable_and_wide_enough_in_all_six_looks(desk, site, live_server):
    eyes, found = Eyes(desk, site, live_server.url), {}
    for visit in visits(site, by_all=True):
        found |= eyes.see(visit, list(LOOKS))
    assert not found, report(found)


def report(found: dict[str, list[str]]) -> str:
    return "\n".join(f"{page}:\n  " + "\n  ".join(seen) for page, seen in found.items())
