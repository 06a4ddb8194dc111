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


def test_ten_cases_are_given_out_in_five_taps_with_a_look_before(page, manager):
    technician, cases = TechnicianFactory(), [case_now() for _ in range(10)]
    sign_in(page, manager)
    page.goto(reverse("office:cases"))
    taps = 0

    def tap(what):
        nonlocal taps
        taps += 1
        page.click(what)

    tap("[data-tick-all]")
    assert page.inner_text("[data-ticked]") == "10 ticked"
    page.select_option("#id_do", f"give-{technician.pk}")
    taps += 2  # a closed list on a screen: open it, choose
    tap("text=Go on")
    page.wait_for_selector("text=10 of 10 ticked cases. Nothing is done yet.")
    assert who_has(cases) == {None}
    tap("text=Give out: 10 cases")
    page.wait_for_selector(f"text=10 cases given to {technician}")
    assert who_has(cases) == {technician}
    assert taps <= 6


def test_single_keys_go_about_the_list_but_not_in_boxes_nor_for_a_scanner_nor_when_switched_off(
    page, manager
):
    first, second = case_now(wanted_in_days=10), case_now(wanted_in_days=20)
    sign_in(page, manager)
    page.goto(reverse("office:cases"))

    def press(key):
        page.keyboard.press(key)
        page.wait_for_timeout(250)

    focused = "document.activeElement.textContent"
    for key in "jjk":
        press(key)
    assert page.evaluate(focused) == first.number
    press("x")
    assert page.inner_text("[data-ticked]") == "1 ticked"
    press("a")
    assert page.evaluate("document.activeElement.id") == "id_do"
    press("/")  # in a list of choices it is a letter like any other
    assert page.evaluate("document.activeElement.id") == "id_do"
    page.focus("main")
    page.keyboard.type("xj", delay=10)  # as fast as a hand scanner
    page.wait_for_timeout(250)
    assert page.inner_text("[data-ticked]") == "1 ticked"
    press("/")
    page.keyboard.type("j?x")
    assert page.input_value("#id_q") == "j?x"
    page.goto(reverse("office:cases"))
    press("?")
    page.click("text=Switch them off")
    page.wait_for_selector("text=Single keys are switched off for you")
    press("j")
    assert page.locator(".is-at").count() == 0
    press("?")
    assert not page.locator("#keys").evaluate("part => part.open")
    assert second.number in page.inner_text("main")


def test_scripts_off_cases_are_found_and_given_out_one_by_one(desk, manager):
    technician, wanted, other = TechnicianFactory(), case_now(patient_code="ZZ-1"), case_now()
    page = sign_in(desk.open(scripts=False), manager)
    page.goto(reverse("office:cases"))
    page.fill("#id_q", "zz")
    page.click("text=Show")
    assert "q=zz" in page.url
    page.check(f"tr:has-text('{wanted.number}') input[type=checkbox]")
    page.select_option("#id_do", f"give-{technician.pk}")
    page.click("text=Go on")
    page.click("text=Give out: 1 case")
    page.wait_for_selector("text=1 case given to")
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


# Seconds for one key of a person who types neither fast nor slowly: Card, Moran and Newell 1980, recalled.
SECONDS_PER_KEY = 0.28


def tab_to(page, name):
    """Along the page by the Tab key alone, until the box of that name has the focus; how often it was pressed."""
    for pressed in range(120):
        if page.evaluate("document.activeElement.name") == name:
            return pressed
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
    # From the page's first box: whoever types case after case is not made to go through its head each time.
    page.focus("#id_practice")
    keys = 0
    for name, text in words.items():
        keys += tab_to(page, name) + len(text)
        page.keyboard.type(text)
    keys += tab_to(page, "sign") + len(["Space", "Enter"])
    page.keyboard.press("Space")
    # What is still missing stands before the button, each with a link to its box.
    while page.evaluate("document.activeElement.type") != "submit":
        page.keyboard.press("Tab")
        keys += 1
    page.keyboard.press("Enter")
    assert keys * SECONDS_PER_KEY <= 60, f"{keys} keys"
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
