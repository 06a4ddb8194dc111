import pytest
from django.urls import reverse

from labcases.pages.drafts import LONGEST_TEXT
from tests.bench.benchwork import stage_at_work
from tests.factories.people import ClinicianFactory, TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def technician(client):
    user = TechnicianFactory()
    client.force_login(user)
    return user


@pytest.fixture
def url(technician):
    return reverse("bench:draft", args=[stage_at_work(by=technician).pk])


def test_a_draft_keeps_typed_figures_and_nothing_else(client, url):
    answer = client.post(url, {"maxillary-anterior_height-1": "21", "unknown": "x", "step": "3"})

    assert answer.status_code == 204
    [kept] = client.session["drafts"].values()
    assert kept == {"maxillary-anterior_height-1": "21"}


def test_a_later_draft_takes_the_place_of_the_earlier(client, url):
    client.post(url, {"maxillary-anterior_height-1": "21"})
    client.post(url, {"maxillary-anterior_height-1": ""})

    assert client.session["drafts"] == {}


def test_a_draft_is_no_reading(client, url, technician):
    client.post(url, {"maxillary-anterior_height-1": "21"})

    assert technician.stages.get().readings.count() == 0


def test_another_person_does_not_see_it(client, url, technician):
    client.post(url, {"maxillary-anterior_height-1": "21"})
    client.force_login(TechnicianFactory())

    sheet = client.get(reverse("bench:sheet", args=[technician.stages.get().pk]))

    assert sheet.context["has_draft"] is False


def test_an_endless_text_is_cut(client, url):
    client.post(url, {"maxillary-anterior_height-1": "2" * 100_000})

    [kept] = client.session["drafts"].values()
    assert len(kept["maxillary-anterior_height-1"]) == LONGEST_TEXT


def test_a_clinician_keeps_no_draft_of_a_bench_sheet(client, url):
    client.force_login(ClinicianFactory())
    assert client.post(url, {}).status_code == 403
