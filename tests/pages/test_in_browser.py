"""The calculators and the mould list in a real browser: scripts off, and where the focus is led."""

import pytest
from django.urls import reverse

from tests.factories.people import PASSWORD, ManagerFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def manager(transactional_db):
    return ManagerFactory()


def sign_in(page, user):
    page.goto(reverse("sign_in"))
    page.fill("#id_username", user.username)
    page.fill("#id_password", PASSWORD)
    page.press("#id_password", "Enter")
    page.wait_for_url("**/office/today")
    return page


def test_with_scripts_off_a_sum_is_worked_out_and_can_be_kept_by_its_address(desk, manager):
    page = sign_in(desk.open(width=390, scripts=False), manager)
    page.goto(reverse("calculators"))
    page.click("text=Lateral condylar setting")
    page.fill("[name=horizontal]", "33")
    page.click("text=Work it out")
    assert "16.125" in page.inner_text("#result")
    page.goto(page.url)
    assert "16.125" in page.inner_text("#result")


def test_a_figure_that_is_not_taken_has_the_focus_led_to_it(desk, manager):
    page = sign_in(desk.open(width=390), manager)
    page.goto(reverse("calculator", args=["lateral_setting"]))
    page.fill("[name=horizontal]", "ninety")
    page.click("text=Work it out")
    page.wait_for_selector("#error-summary")
    assert page.evaluate("document.activeElement.id") == "error-summary"
    page.click("#error-summary a")
    assert page.input_value("#id_horizontal") == "ninety"
    assert page.evaluate("document.activeElement.id") == "id_horizontal"


def test_a_mould_list_is_chosen_as_a_file_and_put_right_in_the_box(desk, manager, tmp_path):
    file = tmp_path / "moulds.csv"
    file.write_text("mould;six_anterior_width\nShell;460\n", encoding="utf-8")
    page = sign_in(desk.open(), manager)
    page.goto(reverse("office:moulds"))
    page.set_input_files("[name=file]", file)
    page.click("main >> button:has-text('Import')")
    page.wait_for_selector("#error-summary")
    assert "Shell;460" in page.input_value("[name=text]")
    page.fill("[name=text]", page.input_value("[name=text]").replace("460", "46,0"))
    page.click("main >> button:has-text('Import')")
    page.wait_for_selector("text=Mould list 1 is kept, with 1 mould.")
