"""What was written about one practice is never shown to another, wherever its clinician goes.

Every text of a practice carries a word of its own. Whoever may read it finds it, which shows that the words are
there to be found; a clinician of the other practice finds none.
"""

import random
import re

import pytest
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.urls import path, reverse

from labcases.attachments.models import Attachment
from labcases.cases.models import Case, Step
from labcases.config.urls import handler400, handler403, handler404, handler500  # noqa: F401
from labcases.config.urls import urlpatterns as site_urls
from labcases.measurements.models import Reading
from labcases.planning.models import CalendarFeed
from labcases.tickets.models import WorkTicket
from tests.pages.test_permissions import TABLE, UNKNOWN
from tests.security.browsing import Crawl, text_of
from tests.security.site import Side, Site, crawl, standing

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def whole_site(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock(), standing(sides=2) as site:
        yield site


def objects_of(side: Side) -> dict[str, list[list[object]]]:
    """For each thing that an address can be about, the arguments of all that this practice has."""
    cases = Case.objects.filter(practice=side.practice).order_by("pk")
    stages = [stage for case in cases for stage in case.stages.all()]
    of_it = {"stage__case__practice": side.practice}
    return {
        "case": [[case.number] for case in cases],
        "stage": [[stage.pk] for stage in stages],
        "step": [[step.stage_id, step.pk] for step in Step.objects.filter(**of_it)],
        "reading": [[each.pk] for each in Reading.objects.filter(**of_it)],
        "attachment": [[each.pk] for each in Attachment.objects.filter(case__practice=side.practice)],
        "ticket": [[each.code] for each in WorkTicket.objects.filter(**of_it)],
        "person": [[side.clinician.pk]],
        "practice": [[side.practice.pk]],
    }


def every_address(side: Side, *, of_each: int, rng: random.Random) -> list[str]:
    """Each route of the site, about so many of each kind of thing of this practice, drawn by chance."""
    known = {
        about: rng.sample(objects, min(of_each, len(objects))) for about, objects in objects_of(side).items()
    }
    found = []
    for route, row in TABLE.items():
        if row.about and row.about not in known:
            assert row.about in UNKNOWN, f"what an address about a {row.about} is made of is not known here"
            continue
        found += [reverse(route, args=each) for each in (known[row.about] if row.about else [[]])]
    return found


def words_of(side: Side) -> re.Pattern[str]:
    names = [side.word, side.word.upper(), side.word.lower(), side.word[:3].upper() + r"\b"]
    return re.compile("|".join(names))


def leaks(pages: dict[str, str], foreign: Side) -> list[str]:
    hidden = words_of(foreign)
    numbers = [case.number for case in foreign.cases]
    found = []
    for address, text in pages.items():
        told = hidden.findall(text) + [n for n in numbers if n in text and n not in address]
        found += [f"{address}: {sorted(set(told))}"] if told else []
    return found


def answers(site: Site, person: str, addresses: list[str]) -> dict[str, str]:
    client = site.client(person)
    found = {}
    for address in addresses:
        for fragment in ({}, {"HX-Request": "true"}):
            found[f"{address} {'fragment' if fragment else ''}"] = text_of(
                client.get(address, headers=fragment)
            )
    return found


@pytest.mark.parametrize(("person", "mine", "other"), [("clinician", 0, 1), ("clinician elsewhere", 1, 0)])
def test_a_clinician_finds_nothing_of_another_practice(person, mine, other, whole_site, rng, request):
    # Who may see a row is asked in the same words of both databases; PostgreSQL is asked about fewer.
    short = 8 if connection.vendor == "sqlite" else 3
    of_each = 1000 if request.config.getoption("--full") else short
    reached = crawl(whole_site, person, each_kind=5 * of_each).pages
    assert len(reached) > 60
    assert leaks(reached, whole_site.sides[mine]), "not even the own practice's words were found"
    assert not leaks(reached, whole_site.sides[other])
    addresses = every_address(whole_site.sides[other], of_each=of_each, rng=rng)
    tried = answers(whole_site, person, addresses)
    assert len(tried) > 60 * short
    assert not leaks(tried, whole_site.sides[other])


@pytest.mark.parametrize(("mine", "other"), [(0, 1), (1, 0)])
def test_a_practices_calendar_tells_of_its_own_cases_alone(mine, other, whole_site):
    feed = CalendarFeed.objects.get(practice=whole_site.sides[mine].practice)
    text = text_of(Client().get(reverse("calendar_feed", args=[feed.token]))).replace("\r\n ", "")
    assert [case.number for case in whole_site.sides[mine].cases if case.number in text]
    assert not leaks({"calendar": text}, whole_site.sides[other])


def test_the_laboratory_finds_every_word_that_was_written(whole_site):
    """So that none of them is hidden from a clinician only because it is shown to nobody."""
    side = whole_site.sides[0]
    papers = [each.code for each in WorkTicket.objects.filter(stage__case__practice=side.practice)]
    addresses = [reverse("office:case", args=[case.number]) for case in side.cases]
    addresses += [reverse("bench:sheet", args=args) for args in objects_of(side)["stage"]]
    addresses += [reverse("ticket_pdf", args=[code]) for code in papers]
    addresses += [reverse("attachments", args=[case.number]) for case in side.cases]
    seen = "\n".join(answers(whole_site, "manager", addresses).values())
    assert [word for word in side.written if word not in seen] == []


def planted_leak(request):
    """What a page that forgets to ask whose case it is would do."""
    return HttpResponse("<p>" + ", ".join(case.notes for case in Case.objects.all()))


urlpatterns = [path("clinic/planted", planted_leak), *site_urls]


@pytest.mark.urls("tests.security.test_canaries")
def test_a_page_that_leaks_is_caught(whole_site):

    pages = Crawl(whole_site.client("clinician")).visit(["/clinic/planted"]).pages
    assert leaks(pages, whole_site.sides[1])


def test_a_paper_that_leaks_is_caught(whole_site):
    paper = WorkTicket.objects.filter(stage__case__practice=whole_site.sides[1].practice).first()
    answer = whole_site.client("manager").get(reverse("ticket_pdf", args=[paper.code]))
    assert leaks({"paper": text_of(answer)}, whole_site.sides[1])
