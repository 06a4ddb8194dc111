import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.cases.choices import CaseState
from labcases.cases.queries import cases_for
from labcases.measurements.queries import standing_readings
from tests.factories.cases import FULL_PRESCRIPTION
from tests.factories.people import ClinicianFactory, LaboratoryFactory
from tests.office.desk import as_manager, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db
URL = reverse("office:new_case")


def boxes(**changes):
    prescriber = ClinicianFactory()
    return {
        **FULL_PRESCRIPTION,
        "practice": prescriber.practice_id,
        "prescriber": prescriber.pk,
        "kind": "complete",
        "arches": "both",
        "wanted_jaw_relation": timezone.localdate().isoformat(),
        "sign": "on",
        **changes,
    }


def opened(manager):
    return list(cases_for(manager))


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:new_case")


def test_the_form_names_what_is_needed_and_shows_how_each_figure_is_taken(client):
    as_manager(client)
    content = client.get(URL).content.decode()
    assert "Papillameter on the papilla, lip relaxed" in content
    assert "common practice, no source" in content


def test_a_whole_prescription_becomes_a_case(client):
    LaboratoryFactory()
    manager = as_manager(client)
    response = post(client, "office:new_case", **boxes(figure_papilla_to_resting_lip="7,5"))
    (case,) = opened(manager)
    assert response["Location"] == reverse("office:case", args=[case.number])
    assert case.state == CaseState.OPEN
    assert [reading.quantity for reading in standing_readings(case)] == ["papilla_to_resting_lip"]
    assert "complete on paper" in client.get(response["Location"]).content.decode()


def test_an_incomplete_one_is_kept_and_the_answer_says_what_is_missing(client):
    LaboratoryFactory()
    manager = as_manager(client)
    response = post(client, "office:new_case", **boxes(base_material="", sign=""))
    (case,) = opened(manager)
    assert case.state == CaseState.INCOMPLETE
    content = client.get(response["Location"]).content.decode()
    assert "The denture base material" in content
    assert "The prescriber&#x27;s signature" in content


def test_bad_input_keeps_everything_that_was_typed(client):
    manager = as_manager(client)
    typed = boxes(figure_papilla_to_resting_lip="7.555", notes="Palate is sensitive", shade="Warm")
    response = post(client, "office:new_case", **typed)
    content = response.content.decode()
    assert response.status_code == 422
    assert opened(manager) == []
    assert 'value="7.555"' in content
    assert "Palate is sensitive" in content
    assert 'href="#id_figure_papilla_to_resting_lip"' in content
    assert "To put right" in content


def test_an_unusual_figure_is_asked_about_once(client):
    manager = as_manager(client)
    response = post(client, "office:new_case", **boxes(figure_papilla_to_resting_lip="15"))
    form = response.context["form"]
    assert response.status_code == 422
    assert 'name="keep_unusual"' in response.content.decode()
    sure = boxes(
        figure_papilla_to_resting_lip="15", keep_unusual="on", unusual_seen=form["unusual_seen"].value()
    )
    assert post(client, "office:new_case", **sure).status_code == 302
    assert len(opened(manager)) == 1


def test_looking_at_the_published_figures_keeps_the_form_and_opens_nothing(client):
    manager = as_manager(client)
    response = post(client, "office:new_case", **boxes(patient_age="71", shade="Warm"), look="guidance")
    content = response.content.decode()
    assert response.status_code == 200
    assert opened(manager) == []
    assert "age 60 and over" in content
    assert 'value="Warm"' in content
    assert "to put right" not in content


def test_sent_twice_it_opens_one_case(client):
    manager = as_manager(client)
    data = boxes()
    answers = {post(client, "office:new_case", key="once", **data)["Location"] for _ in range(2)}
    assert len(answers) == len(opened(manager)) == 1


def test_a_form_without_its_key_is_refused_and_lists_what_was_typed(client):
    manager = as_manager(client)
    response = client.post(URL, boxes(notes="Palate is sensitive"))
    assert response.status_code == 422
    assert "Palate is sensitive" in response.content.decode()
    assert opened(manager) == []


def test_the_page_asks_the_database_little(client, django_assert_max_num_queries):
    as_manager(client)
    with django_assert_max_num_queries(6):
        client.get(URL)
