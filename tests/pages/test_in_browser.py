"""The calculators, the mould list and what follows on a sheet in a real browser: axe, a ruler, scripts off."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from django.utils import timezone

from labcases.measurements.actions.moulds import import_moulds
from labcases.measurements.actions.readings import record_readings
from labcases.pages.calculator_form import example_as_typed
from labcases.prosthodontics.calculators import calculator
from tests.bench.benchwork import an_hour_ago, stage_at_work
from tests.factories.measurements import entry
from tests.factories.people import PASSWORD, ManagerFactory
from tests.measurements.derivations.made import CASTS

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
RULES = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}}
SMALL_TARGETS = """[...document.querySelectorAll("main a, main button, main select, main summary, main .box")]
  .filter(node => node.checkVisibility() && node.getBoundingClientRect().height < 24)
  .map(node => node.outerHTML.slice(0, 80))"""
DRAWN = ("arch_form", "rim_outline", "tooth_strip")
CALCULATED = (*DRAWN, "freeway_space", "curing", "mould_ranking", "tooth_sizes", "individuals_chart")


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


def address_of(name):
    """A calculator with its example worked out, as its address; what is too long is opened empty."""
    typed = "&".join(f"{key}={text}" for key, text in example_as_typed(calculator(name)))
    address = reverse("calculator", args=[name])
    return address if "\n" in typed else f"{address}?{typed.replace(' ', '+')}"


@pytest.mark.parametrize(("width", "theme"), [(320, "light"), (390, "dark"), (768, "light"), (1280, "dark")])
def test_the_pages_are_readable_and_reachable(desk, manager, width, theme):
    moulds = "mould,six_anterior_width,central_width\nShell,46,8.6\nPebble,49,9.1\n"
    import_moulds(text=moulds, by=manager, now=timezone.now(), expected=None)
    rims = stage_at_work(by=manager)
    cast = [
        entry(name, value, arch=arch, confirmed=True) for arch in CASTS for name, value in CASTS[arch].items()
    ]
    record_readings(stage=rims, entries=cast, by=manager, now=an_hour_ago())
    teeth = stage_at_work(by=manager, kind="tooth_arrangement")
    page = sign_in(desk.open(width=width, theme=theme), manager)
    addresses = [
        reverse("calculators"),
        reverse("calculator_examples"),
        *(address_of(name) for name in CALCULATED),
        reverse("calculator", args=["lateral_setting"]) + "?horizontal=120",
        reverse("office:moulds"),
        reverse("office:laboratory"),
        *(reverse("bench:sheet", args=[stage.pk]) for stage in (rims, teeth)),
    ]
    for address in addresses:
        page.goto(address)
        page.eval_on_selector_all("main details", "all => all.forEach(each => { each.open = true; })")
        found = Axe().run(page, options=RULES).response["violations"]
        assert not found, (address, [(each["id"], each["nodes"][0]["html"]) for each in found])
        assert page.evaluate(SMALL_TARGETS) == [], address
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), address


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
    page.wait_for_selector("text=Mould list 1 is kept, with 1 moulds.")
