"""Photographs, a list of scans and a print in a real browser: scripts on and off, axe and a ruler."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse

from labcases.attachments.models import Attachment
from tests.attachments.files.test_reading import PAPER
from tests.bench.benchwork import coming_case, seen, stage_at_work, waiting_stage
from tests.factories.attachments import AttachmentFactory, picture
from tests.factories.cases import NOW
from tests.factories.people import PASSWORD, TechnicianFactory
from tests.factories.tickets import PrintLineFactory, WorkTicketFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
RULES = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}}


def sign_in(page, user):
    page.goto(reverse("sign_in"))
    page.fill("#id_username", user.username)
    page.fill("#id_password", PASSWORD)
    page.press("#id_password", "Enter")
    page.wait_for_url(re.compile("/(office|bench|clinic)/"))
    return page


@pytest.mark.parametrize("scripts", [True, False])
def test_a_photograph_goes_from_the_chair_to_the_bench(desk, transactional_db, tmp_path, scripts):
    case = waiting_stage().case
    AttachmentFactory(case=case, view="front_smiling", at=NOW)
    path = tmp_path / "Jane Doe.png"
    path.write_bytes(picture("PNG", size=(900, 600)))
    page = sign_in(desk.open(width=390, scripts=scripts), case.prescriber)
    page.goto(reverse("clinic:case", args=[case.number]))
    page.click("#files-strip a:has-text('See all, add')")
    page.set_input_files("[name=file]", path)
    page.select_option("[name=view]", "front_smiling")
    page.click("main form button:has-text('Add')")
    page.wait_for_selector("text=Added to")
    page.click(".photograph >> nth=-1 >> a")
    page.wait_for_selector("text=Earlier: prescription")
    loaded = "all => all.every(each => each.complete && each.naturalWidth > 0)"
    page.wait_for_load_state("load")
    assert page.eval_on_selector_all(".two-pictures img", loaded)
    assert "Jane" not in page.content()
    assert Attachment.objects.latest("pk").by == case.prescriber


def test_scans_one_after_the_other_become_a_list_and_one_tap_starts_all(desk, transactional_db):
    technician = TechnicianFactory()
    stages = [waiting_stage() for _ in range(3)]
    codes = [WorkTicketFactory(stage=stage).code.lower() for stage in stages]
    page = sign_in(desk.open(), technician)
    page.goto(reverse("bench:batch"))
    for code in codes:
        page.keyboard.type(code)
        page.keyboard.press("Enter")
    page.wait_for_selector("text=Start 3")
    assert page.evaluate("document.activeElement.id") == "batch-code"
    page.click("text=Start 3")
    page.click("main button:has-text('Start 3')")
    page.wait_for_url("**/bench/work")
    assert [seen(stage).state for stage in stages] == ["in_progress"] * 3


def test_what_was_finished_by_a_slip_is_one_tap_from_being_back(desk, transactional_db):
    technician = TechnicianFactory()
    stage = stage_at_work(by=technician, kind="processing")
    page = sign_in(desk.open(width=390), technician)
    page.goto(reverse("bench:sheet", args=[stage.pk]))
    page.click(".save-bar >> text=Finish")
    page.wait_for_url("**/bench/work")
    assert seen(stage).state == "done"
    page.click("text=Undo")
    page.wait_for_selector("text=Taken back")
    assert seen(stage).state == "in_progress"


@pytest.mark.parametrize(("width", "theme"), [(320, "light"), (1280, "dark")])
def test_the_new_pages_are_readable_and_reachable(desk, transactional_db, width, theme):
    case = coming_case()
    manager = case.opened_by
    file = AttachmentFactory(case=case, by=manager)
    AttachmentFactory(case=case, kind="paper", view="", small="", size=len(PAPER), triangles=None)
    run = PrintLineFactory().run
    page = sign_in(desk.open(width=width, theme=theme), manager)
    page.goto(reverse("bench:batch"))
    page.fill("#batch-code", case.number)
    page.press("#batch-code", "Enter")
    page.wait_for_selector("text=Receive 1")
    addresses = [
        reverse("attachments", args=[case.number]),
        reverse("attachment", args=[file.pk]),
        reverse("attachment_remove", args=[file.pk]),
        reverse("bench:batch"),
        reverse("bench:batch_do") + "?act=receive",
        reverse("office:print_run", args=[run.pk]),
    ]
    for address in addresses:
        page.goto(address)
        found = Axe().run(page, options=RULES).response["violations"]
        assert not found, (address, [(each["id"], each["nodes"][0]["html"]) for each in found])
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), address
