"""Help for each audience, the trade's words, and hints that a person puts away for good."""

import re

import pytest
from django.urls import reverse

from labcases.pages.help import AUDIENCES, CHOSEN
from labcases.pages.hints import HINTS, hint_for
from labcases.people.models import User
from labcases.prosthodontics.glossary import PROGRAM_TERMS, TERMS
from tests.clinic.chair import post, text
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db


def signed_in(client, factory):
    person = factory()
    client.force_login(person)
    return person


@pytest.mark.parametrize(
    ("factory", "audience"),
    [(ManagerFactory, "office"), (TechnicianFactory, "bench"), (ClinicianFactory, "clinic")],
)
def test_help_opens_at_the_page_of_whoever_asks(client, factory, audience):
    signed_in(client, factory)
    answer = client.get(reverse("help"), follow=True)
    assert answer.redirect_chain == [(reverse("help_page", args=[audience]), 302)]
    assert f"<h1>{AUDIENCES[audience]}</h1>" in text(answer)


def test_an_unknown_audience_has_no_page(client):
    signed_in(client, ManagerFactory)
    assert client.get(reverse("help_page", args=["kitchen"])).status_code == 404


def test_every_word_that_help_links_to_has_its_place_among_the_words(client):
    signed_in(client, ManagerFactory)
    places = set(re.findall(r'id="([^"]+)"', text(client.get(reverse("glossary")))))
    pages = [text(client.get(reverse("help_page", args=[name]))) for name in AUDIENCES]
    linked = {word for page in pages for word in re.findall(r'help/words#([^"]+)"', page)}
    assert len(linked) >= len(AUDIENCES)
    assert linked <= places


def test_a_word_that_schools_differ_about_says_what_this_laboratory_chose(client):
    signed_in(client, ManagerFactory)
    page = text(client.get(reverse("glossary")))
    canine = page.partition('id="canine-line"')[2].partition("</dd>")[0]
    assert "Chosen by this laboratory: the distal surface of the canine." in canine
    assert set(CHOSEN) <= {term.name for term in TERMS}


def test_every_word_names_its_source_beside_it(client):
    signed_in(client, ManagerFactory)
    page = text(client.get(reverse("glossary")))
    assert page.count('class="fine source"') == len(TERMS) + len(PROGRAM_TERMS)
    assert "J Appl Oral Sci 2005;13(4)" in page


def test_the_page_of_words_asks_the_database_little(client, django_assert_max_num_queries):
    signed_in(client, ManagerFactory)
    with django_assert_max_num_queries(6):
        client.get(reverse("glossary"))


def test_a_hint_is_shown_until_it_is_put_away_and_then_to_this_person_no_more(client):
    person = signed_in(client, TechnicianFactory)
    title = str(HINTS["my-work"].title)
    assert title in text(client.get(reverse("bench:work")))
    answer = post(client, "put_hint_away", "my-work", back="/bench/work")
    assert answer.headers["Location"] == "/bench/work"
    assert title not in text(client.get(reverse("bench:work")))
    signed_in(client, TechnicianFactory)
    assert title in text(client.get(reverse("bench:work")))
    client.force_login(User.objects.get(pk=person.pk))
    post(client, "hints_again")
    assert title in text(client.get(reverse("bench:work")))


def test_a_hint_leads_back_to_this_site_only(client):
    signed_in(client, TechnicianFactory)
    answer = post(client, "put_hint_away", "my-work", back="https://elsewhere.example/")
    assert answer.headers["Location"] == reverse("home")


def test_an_unknown_hint_is_nobodys(client):
    signed_in(client, TechnicianFactory)
    assert post(client, "put_hint_away", "nothing").status_code == 404


def test_a_visitor_who_is_not_signed_in_gets_no_hint():
    assert hint_for(None, "my-work") is None


def test_no_word_stands_twice_and_all_are_in_order():
    names = [term.name for term in TERMS]
    assert names == sorted(names)
    slugs = [term.slug for term in (*TERMS, *PROGRAM_TERMS)]
    assert len(set(slugs)) == len(slugs)
