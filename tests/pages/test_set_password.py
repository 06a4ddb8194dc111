"""An invitation from the office to the first sign-in, and what a stranger with an old address finds."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from labcases.people.models import User
from tests.factories.people import PASSWORD, ManagerFactory, TechnicianFactory
from tests.pages.knocking import is_in, post, sign_in

pytestmark = pytest.mark.django_db

# Each answer names its own request.
A_REFERENCE = re.compile(r"\b[0-9a-f]{10}\b")
WORDS = "wax rim and facebow"


@pytest.fixture
def desk():
    return sign_in(ManagerFactory())


def handed_over(desk, person):
    """The address that the office shows after it made a link, as a path of this site."""
    answer = post(desk, "office:person_link", person.pk)
    shown = desk.get(answer["Location"]).content.decode()
    return re.search(r'value="http://[^/"]+(/password/[^"]+)"', shown).group(1)


def choose(address, password=WORDS, *, client=None):
    return (client or Client()).post(address, {"new_password": password, "repeated": password})


def test_a_new_person_is_invited_chooses_a_password_and_signs_in(desk):
    form = {"display_name": "Ode Finch", "username": "ode", "role": "technician"}
    added = post(desk, "office:person_new", **form)
    ode = User.objects.get(username="ode")
    assert added["Location"] == reverse("office:person", args=[ode.pk])
    address = handed_over(desk, ode)
    client = Client()
    assert "Ode Finch" in client.get(address).content.decode()
    assert choose(address, client=client)["Location"] == reverse("sign_in")
    assert not is_in(client)
    assert is_in(sign_in(ode, WORDS))


def test_the_address_is_shown_once(desk):
    person = TechnicianFactory()
    page = post(desk, "office:person_link", person.pk)["Location"]
    assert "/password/" in desk.get(page).content.decode()
    assert "/password/" not in desk.get(page).content.decode()


def test_the_address_waits_for_the_page_of_the_person_it_is_for(desk):
    person, another = TechnicianFactory(), TechnicianFactory()
    page = post(desk, "office:person_link", person.pk)["Location"]
    assert "/password/" not in desk.get(reverse("office:person", args=[another.pk])).content.decode()
    assert "/password/" not in sign_in(ManagerFactory()).get(page).content.decode()
    assert "/password/" in desk.get(page).content.decode()


def test_a_lost_password_is_replaced_and_old_sessions_end(desk):
    person = TechnicianFactory()
    old = sign_in(person)
    assert choose(handed_over(desk, person)).status_code == 302
    assert not is_in(old)
    assert not is_in(sign_in(person, PASSWORD))
    assert is_in(sign_in(person, WORDS))


def test_a_used_void_or_made_up_address_tells_nothing(desk):
    person = TechnicianFactory(display_name="Ode Finch")
    first = handed_over(desk, person)
    used = handed_over(desk, person)
    assert choose(used).status_code == 302
    made_up = reverse("set_password", args=["A" * 43])
    texts = [Client().get(each).content.decode() for each in (first, used, made_up)]
    pages = {A_REFERENCE.sub("", text) for text in texts}
    assert len(pages) == 1
    assert "Ode Finch" not in pages.pop()
    assert [choose(each).status_code for each in (first, used, made_up)] == [404] * 3


def test_passwords_are_held_to_the_rules_and_tried_no_more_often_than_at_the_door(desk):
    address = handed_over(desk, TechnicianFactory(username="hedgehog-hill"))
    answer = choose(address, "hedgehog-hill")
    assert answer.status_code == 422
    assert "too similar" in answer.content.decode()
    assert [choose(address, "short").status_code for _ in range(9)] == [422] * 9
    assert choose(address).status_code == 429
