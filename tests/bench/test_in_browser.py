"""The bench as hands use it: taps counted, keys alone, scripts off."""

import pytest
from django.urls import reverse

from labcases.tickets.actions import issue_ticket
from tests.bench.benchwork import an_hour_ago, seen, stage_at_work, waiting_stage
from tests.factories.people import PASSWORD, TechnicianFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def technician(transactional_db):
    return TechnicianFactory()


def sign_in(page, user):
    page.goto(reverse("sign_in"))
    page.fill("#id_username", user.username)
    page.fill("#id_password", PASSWORD)
    page.press("#id_password", "Enter")
    page.wait_for_url("**/bench/work")
    return page


class Taps:
    """A finger on a page; counts how often it comes down."""

    def __init__(self, page):
        self.page, self.count = page, 0

    def on(self, selector):
        self.count += 1
        self.page.click(selector)


def scan(page, code):
    """As a reader does that is set to end with Enter: the box of My work has the focus."""
    assert page.evaluate("document.activeElement.name") == "code"
    page.keyboard.type(code)
    page.keyboard.press("Enter")
    page.wait_for_url("**/bench/stages/*")


def test_a_stage_without_figures_is_two_taps_from_scan_to_finished(page, technician):
    stage = waiting_stage(kind="processing", to=technician)
    taps = Taps(sign_in(page, technician))

    scan(page, stage.case.number)
    taps.on("text=Start")
    taps.on("button:has-text('finish')")
    page.wait_for_url("**/bench/work")

    assert seen(stage).state == "done"
    assert taps.count == 2


def test_four_figures_are_two_taps_and_digits_from_scan_to_finished(page, technician):
    stage = waiting_stage(to=technician)
    ticket = issue_ticket(stage=stage, by=technician, now=an_hour_ago())
    taps = Taps(sign_in(page, technician))

    scan(page, ticket.code)
    taps.on("text=Start")
    page.wait_for_selector("input.box-figure:focus")
    for typed in ("22", "18,1", "18.0", "8"):
        page.keyboard.type(typed)
        page.keyboard.press("Enter")
    taps.on("text=Save and finish")
    page.wait_for_url("**/bench/work")

    assert seen(stage).state == "done"
    assert stage.readings.count() == 4
    assert taps.count == 2


def test_the_dimension_in_focus_is_marked_in_its_own_drawing(page, technician):
    stage = stage_at_work(by=technician)
    sign_in(page, technician).goto(reverse("bench:sheet", args=[stage.pk]))

    page.focus("[name='mandibular-anterior_height-2']")

    marked = page.eval_on_selector_all(
        "[data-dimension].is-at", "nodes => nodes.map(node => [node.tagName, node.dataset.dimension])"
    )
    assert sorted(set(map(tuple, marked))) == [("LI", "anterior_height"), ("g", "anterior_height")]
    assert page.locator("#drawing-maxillary .is-at").count() == 0
    assert page.locator("#drawing-mandibular .is-at").count() == 1


def test_enter_goes_on_to_the_next_figure_and_never_sends(page, technician):
    stage = stage_at_work(by=technician)
    sign_in(page, technician).goto(reverse("bench:sheet", args=[stage.pk]))

    page.focus("[name='maxillary-anterior_height-1']")
    page.keyboard.type("22")
    page.keyboard.press("Enter")

    assert page.evaluate("document.activeElement.name") == "maxillary-posterior_height_left-1"
    assert stage.readings.count() == 0


def test_leaving_the_sheet_loses_no_typed_figure(page, technician):
    stage = stage_at_work(by=technician)
    sign_in(page, technician).goto(reverse("bench:sheet", args=[stage.pk]))
    page.fill("[name='maxillary-anterior_height-1']", "22,4")

    page.click("nav >> text=My work")
    page.wait_for_url("**/bench/work")
    # What is kept on leaving travels beside the page that is opened next.
    page.wait_for_timeout(1000)
    page.goto(reverse("bench:sheet", args=[stage.pk]))

    assert page.input_value("[name='maxillary-anterior_height-1']") == "22,4"


def test_a_tick_is_kept_at_once_and_figures_being_typed_stay(page, technician):
    stage = stage_at_work(by=technician)
    sign_in(page, technician).goto(reverse("bench:sheet", args=[stage.pk]))
    page.fill("[name='maxillary-anterior_height-1']", "22,4")

    page.check("#checklist input[name=step] >> nth=0")
    page.wait_for_selector("text=1 of 13 ticked")

    assert stage.steps.filter(done_at__isnull=False).count() == 1
    assert page.input_value("[name='maxillary-anterior_height-1']") == "22,4"


def test_by_keys_alone_a_stage_is_started_measured_ticked_and_finished(page, technician):
    stage = waiting_stage(to=technician)
    sign_in(page, technician)
    scan(page, stage.case.number)

    def walk_to(selector):
        for _ in range(400):
            page.keyboard.press("Tab")
            if page.evaluate("selector => document.activeElement.matches(selector)", selector):
                return
        raise AssertionError(f"{selector} is not reached by Tab")

    walk_to("form.start button")
    page.keyboard.press("Enter")
    page.wait_for_selector("input.box-figure:focus")
    page.keyboard.type("22")
    walk_to("#checklist input")
    page.keyboard.press("Space")
    page.wait_for_selector("text=1 of 13 ticked")
    walk_to(".save-bar .button-main")
    page.keyboard.press("Enter")
    page.wait_for_url("**/bench/work")

    assert seen(stage).state == "done"
    assert stage.readings.count() == 1


def test_with_scripts_off_everything_on_the_sheet_is_saved_together(desk, technician):
    stage = waiting_stage(to=technician)
    page = sign_in(desk.open(scripts=False, width=390), technician)
    page.goto(reverse("bench:sheet", args=[stage.pk]))

    page.click("text=Start")
    page.fill("[name='maxillary-anterior_height-1']", "22,4")
    page.check("#checklist input[name=step] >> nth=0")
    page.click(".save-bar >> text=Save and finish")
    page.wait_for_url("**/bench/work")

    assert seen(stage).state == "done"
    assert stage.readings.count() == 1
    assert stage.steps.filter(done_at__isnull=False).count() == 1
