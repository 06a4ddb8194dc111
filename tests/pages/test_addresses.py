"""Where a form or a link may lead on to."""

import pytest
from django.test import Client
from django.urls import reverse

from labcases.pages.addresses import own_address
from tests.factories.people import PASSWORD, ClinicianFactory

# A bare word is no address of this site, though Django's own redirect would look for a route of that name.
ELSEWHERE = [
    "https://elsewhere.example/",
    "//elsewhere.example",
    "/\\elsewhere.example",
    "javascript:x",
    "17-3",
    "-0",
    "/a\r\nb",
    "",
]


@pytest.mark.parametrize("asked", [*ELSEWHERE, None])
def test_only_an_address_of_this_site_is_led_to(asked):
    assert own_address(asked, otherwise="/home") == "/home"


def test_an_address_of_this_site_is_led_to_with_its_query():
    assert own_address("/office/cases?q=ELM&late=on", otherwise="/home") == "/office/cases?q=ELM&late=on"


@pytest.mark.django_db
@pytest.mark.parametrize("asked", ELSEWHERE)
def test_signing_in_leads_home_where_no_page_of_this_site_was_asked_for(asked):
    person = {"username": ClinicianFactory().username, "password": PASSWORD}
    answer = Client().post(reverse("sign_in"), {**person, "next": asked})
    assert (answer.status_code, answer["Location"]) == (302, reverse("home"))
