"""The clinic as a thumb uses it: what a record works out while typed, and scripts off."""

import pytest
from django.urls import reverse

from labcases.cases.choices import Location, StageKind, StageState
from tests.clinic.chair import visit_of
from tests.factories.people import PASSWORD, ClinicianFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

REST, OCCLUSION = "figure_vertical_dimension_rest", "figure_vertical_dimension_occlusion"


@pytest.fixture
def clinician(transactional_db):
    return ClinicianFactory()


def sign_in(page, user):
    page.goto(reverse("sign_in"))
    page.fill("#id_username", user.username)
    page.fill("#id_password", PASSWORD)
    page.press("#id_password", "Enter")
    page.wait_for_url("**/clinic/cases")
    return page


def test_what_has_arrived_and_its_record_are_one_tap_each_away(desk, clinician):
    case, _ = visit_of(clinician, StageKind.JAW_RELATION, Location.TO_CLINIC)
    page = sign_in(desk.open(width=390, height=844), clinician)
    page.click("text=It has arrived")
    page.wait_for_url("**/clinic/cases/*")
    page.click("main >> a.button-main")
    page.wait_for_url("**/record")
    case.refresh_from_db()
    assert case.location == Location.CLINIC


def test_the_freeway_space_appears_while_the_figures_are_typed(desk, clinician):
    case, _ = visit_of(clinician)
    page = sign_in(desk.open(width=390, height=844), clinician)
    page.goto(reverse("clinic:record", args=[case.number]))
    page.fill(f"#id_{REST}", "68,0")
    page.fill(f"#id_{OCCLUSION}", "66.5")
    page.press(f"#id_{OCCLUSION}", "Tab")
    page.wait_for_selector("#worked-out >> text=below the configured range of 2.0 to 4.0 mm")
    page.fill(f"#id_{REST}", "69,5")
    page.click("#work-it-out")
    page.wait_for_selector("#worked-out >> text=inside the configured range")
    assert page.url.endswith("/record")
    assert page.input_value(f"#id_{REST}") == "69,5"
    assert not case.readings.exists()


def test_where_work_goes_back_to_is_asked_only_where_it_goes_back(desk, clinician):
    case, _ = visit_of(clinician)
    page = sign_in(desk.open(width=390, height=844), clinician)
    page.goto(reverse("clinic:record", args=[case.number]))
    assert not page.is_visible("#id_cause")
    page.check("[name=decision][value=again]")
    assert page.is_visible("#id_cause")
    assert page.is_visible("#id_wanted_try_in")
    page.check("[name=decision][value=stays]")
    assert not page.is_visible("#id_cause")
    assert not page.is_visible("#id_wanted_try_in")


def test_with_scripts_off_a_record_is_worked_out_and_sent(desk, clinician):
    case, stage = visit_of(clinician)
    page = sign_in(desk.open(width=390, scripts=False), clinician)
    page.goto(reverse("clinic:record", args=[case.number]))
    page.fill(f"#id_{REST}", "68")
    page.fill(f"#id_{OCCLUSION}", "65")
    page.click("#work-it-out")
    assert "inside the configured range" in page.inner_text("#worked-out")
    assert not case.readings.exists()
    page.check("[name=decision][value=onward]")
    page.click("main >> button:has-text('Record')")
    page.wait_for_url(f"**/clinic/cases/{case.number}")
    stage.refresh_from_db()
    assert stage.state == StageState.DONE
    assert case.readings.count() == 2


def test_a_refused_record_takes_the_focus_to_what_must_be_put_right(desk, clinician):
    case, _ = visit_of(clinician)
    page = sign_in(desk.open(width=390, height=844), clinician)
    page.goto(reverse("clinic:record", args=[case.number]))
    page.fill("#id_figure_canine_line_right", "twenty")
    page.check("[name=decision][value=onward]")
    page.click("main >> button:has-text('Record')")
    page.wait_for_selector("#error-summary")
    assert page.evaluate("document.activeElement.id") == "error-summary"
    page.click("#error-summary a")
    assert page.evaluate("document.activeElement.id") == "id_figure_canine_line_right"
    assert page.input_value("#id_figure_canine_line_right") == "twenty"
