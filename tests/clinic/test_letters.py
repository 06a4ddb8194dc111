import pytest
from django.urls import reverse

from labcases.post.choices import Rhythm
from labcases.post.models import Subscription
from tests.factories.people import ClinicianFactory
from tests.office.desk import post

pytestmark = pytest.mark.django_db
WANTED = {"rhythm": "at_once", "address": "me@practice.example", "whole_practice": "on", "version": "0"}


@pytest.fixture
def clinician(client):
    clinician = ClinicianFactory()
    client.force_login(clinician)
    return clinician


def test_a_clinician_chooses_letters_and_stops_them_again(client, clinician):
    assert post(client, "clinic:letters", **WANTED).status_code == 302
    chosen = Subscription.objects.get()
    assert (chosen.person, chosen.rhythm, chosen.address, chosen.whole_practice, chosen.version) == (
        clinician,
        Rhythm.AT_ONCE,
        "me@practice.example",
        True,
        1,
    )
    text = client.get(reverse("clinic:letters")).content.decode()
    assert "me@practice.example" in text
    answer = post(client, "clinic:letters", rhythm="never", address="", version="1")
    assert answer.status_code == 302
    assert Subscription.objects.get().rhythm == Rhythm.NEVER


@pytest.mark.parametrize("wrong", [{"address": ""}, {"address": "me@"}, {"rhythm": "hourly"}, {"rhythm": ""}])
def test_what_can_t_be_meant_is_asked_again_and_kept_typed(client, clinician, wrong):
    answer = post(client, "clinic:letters", **{**WANTED, **wrong})
    assert answer.status_code == 422
    assert not Subscription.objects.exists()
    assert "To put right" in answer.content.decode()


def test_a_second_page_with_older_choices_is_told_so(client, clinician):
    post(client, "clinic:letters", **WANTED)
    answer = post(client, "clinic:letters", **{**WANTED, "address": "old@practice.example"})
    assert answer.status_code == 409
    assert "old@practice.example" in answer.content.decode()


def test_a_site_without_e_mail_says_so(client, clinician, settings):
    settings.LETTERS = False
    assert "has not set up e-mail yet" in client.get(reverse("clinic:letters")).content.decode()
