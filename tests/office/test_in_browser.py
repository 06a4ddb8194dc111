"""The office as hands use it: taps counted, keys alone, scripts off."""

import pytest
from django.urls import reverse

from labcases.cases.queries import cases_for
from tests.factories.people import (
    PASSWORD,
    ClinicianFactory,
    LaboratoryFactory,
    ManagerFactory,
    TechnicianFactory,
)
from tests.office.desk import case_now

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def manager(transactional_db):
    LaboratoryFactory()
    return ManagerFactory()


def sign_in(page, user):
    page.goto(reverse("sign_in"))
    page.fill("#id_username", user.username)
    page.fill("#id_password", PASSWORD)
    page.press("#id_password", "Enter")
    page.wait_for_url("**/office/today")
    return page


def who_has(cases):
    return {case.stages.get(pk=case.current_stage_id).assignee for case in cases}


def test_ten_cases_are_given_out_in_four_taps(page, manager):
    technician, cases = TechnicianFactory(), [case_now() for _ in range(10)]
    sign_in(page, manager)
    page.goto(reverse("office:cases"))
    page.click("[data-tick-all]")
    assert page.inner_text("[data-ticked]") == "10 ticked"
    page.select_option("#id_to", str(technician.pk))  # two taps on a screen: open, choose
    page.click("text=Give out")
    page.wait_for_selector("text=10 stages given to")
    assert who_has(cases) == {technician}


def test_scripts_off_cases_are_found_and_given_out_one_by_one(desk, manager):
    technician, wanted, other = TechnicianFactory(), case_now(patient_code="ZZ-1"), case_now()
    page = sign_in(desk.open(scripts=False), manager)
    page.goto(reverse("office:cases"))
    page.fill("#id_q", "zz")
    page.click("text=Show")
    assert "q=zz" in page.url
    page.check(f"tr:has-text('{wanted.number}') input[type=checkbox]")
    page.select_option("#id_to", str(technician.pk))
    page.click("text=Give out")
    page.wait_for_selector("text=1 stage given to")
    assert (who_has([wanted]), who_has([other])) == ({technician}, {None})


def test_a_filter_changes_the_list_and_the_address_and_back_brings_the_whole_page(page, manager):
    case_now(patient_code="ZZ-1"), case_now(patient_code="AA-1")
    sign_in(page, manager)
    page.goto(reverse("office:cases"))
    page.fill("#id_q", "zz")
    page.press("#id_q", "Enter")
    page.wait_for_url("**/office/cases?*q=zz*")
    page.wait_for_selector("text=One case found")
    page.go_back()
    page.wait_for_selector("text=2 cases open")
    assert page.locator("nav.rooms").count() == 1


def test_published_figures_follow_the_patient_without_a_turn(page, manager):
    sign_in(page, manager)
    page.goto(reverse("office:new_case"))
    page.fill("#id_shade", "Warm")
    assert "age 60 and over" not in page.inner_text("#guidance-list")
    page.fill("#id_patient_age", "71")
    page.press("#id_patient_age", "Tab")
    page.wait_for_selector("#guidance-list >> text=age 60 and over")
    assert page.input_value("#id_shade") == "Warm"
    assert page.input_value("#id_figure_incisal_display") == ""


def tab_to(page, name):
    """Along the page by the Tab key alone, until the box of that name has the focus."""
    for _ in range(120):
        if page.evaluate("document.activeElement.name") == name:
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"the Tab key never reaches {name}")


def test_a_case_is_taken_in_by_keys_alone(page, manager):
    prescriber = ClinicianFactory(practice__name="Elm Hill", display_name="Dr Ines Marl")
    sign_in(page, manager)
    page.goto(reverse("office:new_case"))
    words = {
        "practice": "Elm",
        "prescriber": "Dr Ines",
        "patient_code": "EH-118",
        "patient_age": "71",
        "work_description": "Complete upper and lower dentures",
        "base_material": "Acrylic",
        "subcontractor": "none",
        "figure_papilla_to_resting_lip": "7,5",
        "figure_incisal_display": "1",
    }
    for name, text in words.items():
        tab_to(page, name)
        page.keyboard.type(text)
    tab_to(page, "sign")
    page.keyboard.press("Space")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.wait_for_url("**/office/cases/*-*")
    (case,) = cases_for(manager)
    assert (case.prescriber, case.patient_code, case.signed_by) == (prescriber, "EH-118", manager)
    assert case.readings.count() == 2


def test_a_page_with_something_to_put_right_has_the_focus_on_what(page, manager):
    sign_in(page, manager)
    page.goto(reverse("office:new_case"))
    page.fill("#id_figure_papilla_to_resting_lip", "7.555")
    page.click("text=Take the case in")
    page.wait_for_selector("#error-summary:focus")
    page.click("#error-summary a:has-text('Papilla')")
    assert page.evaluate("document.activeElement.id") == "id_figure_papilla_to_resting_lip"
    assert page.input_value("#id_figure_papilla_to_resting_lip") == "7.555"
