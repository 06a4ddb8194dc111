"""One case as three people see it, in a real browser: from the prescription with its chairside figures, over tray,
base and rims with a figure outside that is put right, to a try-in that sends it back and a second visit."""

import datetime
import io
import re

import pdfplumber
import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from labcases.cases.models import Case, Event, Stage
from labcases.measurements.models import Reading, Specification
from tests.factories.people import (
    PASSWORD,
    ClinicianFactory,
    LaboratoryFactory,
    ManagerFactory,
    PracticeFactory,
    TechnicianFactory,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


class Bench:
    """The hands of the technician: what is done again and again at the bench, by its visible words."""

    def __init__(self, page: Page, number: str) -> None:
        self.page, self.number = page, number

    def scan(self) -> None:
        self.page.goto("/bench/work")
        self.page.get_by_label("Ticket code or case number").fill(self.number)
        self.page.keyboard.press("Enter")
        self.page.wait_for_url(re.compile(r"/bench/stages/\d+"))

    def start(self) -> None:
        self.scan()
        self.page.get_by_role("button", name=re.compile("^Start")).click()
        expect(self.page.get_by_role("button", name="Save and finish").first).to_be_visible()

    def type_figure(self, arch: str, quantity: str, *values: str) -> None:
        for number, value in enumerate(values, 1):
            box = self.page.locator(f'[name="{arch}-{quantity}-{number}"]')
            if not box.is_visible():
                box.locator("xpath=ancestor::details[1]/summary").click()
            box.fill(value)

    def save_and_finish(self) -> None:
        self.page.get_by_role("button", name="Save and finish").first.click()
        self.page.wait_for_url(lambda url: "/finish" not in url)

    def receive(self) -> None:
        self.page.goto(f"/bench/cases/{self.number}")
        self.page.get_by_role("link", name=re.compile("^Receive")).first.click()
        self.page.get_by_label(re.compile("Disinfectant|agent", re.I)).first.fill("Label A, immersion")
        self.page.locator("[name=minutes_required]").fill("10")
        self.page.locator("[name=minutes]").fill("10")
        self.page.get_by_role("button", name="Receive the case").click()
        self.page.wait_for_url(lambda url: "/receive" not in url)

    def hand_over(self) -> None:
        self.page.goto(f"/bench/cases/{self.number}")
        self.page.get_by_role("button", name=re.compile("Hand over")).click()
        expect(self.page.get_by_text(re.compile("is on its way to")).first).to_be_visible()


class Chair:
    """The clinician's hands."""

    def __init__(self, page: Page, number: str) -> None:
        self.page, self.number = page, number

    def take_arrival(self) -> None:
        self.page.goto("/clinic/cases")
        self.page.get_by_role("button", name=re.compile("It has arrived")).click()
        expect(self.page.get_by_role("link", name=re.compile("^Record")).first).to_be_visible()

    def open_record(self) -> None:
        self.page.goto(f"/clinic/cases/{self.number}/record")

    def type_repeats(self, quantity: str, *values: str) -> None:
        for number, value in enumerate(values, 1):
            name = f"figure_{quantity}" if number == 1 else f"figure_{quantity}_{number}"
            box = self.page.locator(f"[name={name}]")
            if not box.is_visible():
                box.locator("xpath=ancestor::details[1]/summary").click()
            box.fill(value)

    def record(self, decision: str) -> None:
        self.page.get_by_label(re.compile(decision)).check()
        self.page.get_by_role("button", name="Record", exact=True).click()
        self.page.wait_for_url(lambda url: "/record" not in url)


def sign_in(page: Page, who) -> Page:
    page.goto("/sign-in")
    page.get_by_label("User name").fill(who.username)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(re.compile(r"/(office|bench|clinic)/"))
    return page


@pytest.fixture
def people(desk):
    """Three people, each at a machine of their own: phone, office desk, bench tablet."""
    LaboratoryFactory()
    clinician = ClinicianFactory(practice=PracticeFactory(name="Elm Hill Practice", code="ELM"))
    manager, technician = ManagerFactory(), TechnicianFactory(display_name="Mina Gypsum")
    return {
        "clinician": sign_in(desk.open(width=390), clinician),
        "manager": sign_in(desk.open(width=1280), manager),
        "technician": sign_in(desk.open(width=820), technician),
    }


def write_prescription(page: Page) -> str:
    page.goto("/clinic/cases/new")
    page.locator("[name=patient_code]").fill("ELM-900")
    page.locator("[name=patient_age]").fill("74")
    page.locator("[name=work_description]").fill("Complete upper and lower dentures, new.")
    page.locator("[name=impression_material]").select_option("zinc_oxide_eugenol")
    page.locator("[name=base_material]").fill("Heat-cured acrylic")
    page.locator("[name=subcontractor]").fill("none")
    day = timezone.localdate() + datetime.timedelta(days=5)
    for weeks, kind in enumerate(("definitive_impressions", "jaw_relation", "try_in", "insertion")):
        page.locator(f"[name=wanted_{kind}]").fill(str(day + datetime.timedelta(weeks=weeks)))
    page.locator("[name=figure_papilla_to_resting_lip]").fill("9,5")
    page.locator("[name=figure_incisal_display]").fill("1.5")
    page.locator("[name=sign]").check()
    page.get_by_role("button", name=re.compile("prescription|Send", re.I)).last.click()
    page.wait_for_url(re.compile(r"/clinic/cases/[\d-]+\w$"))
    return Case.objects.get(patient_code="ELM-900").number


def test_a_case_goes_the_whole_way_and_comes_back_once(people, desk):
    clinician, manager, technician = people["clinician"], people["manager"], people["technician"]

    number = write_prescription(clinician)
    bench, chair = Bench(technician, number), Chair(clinician, number)
    case = Case.objects.get(number=number)
    assert (case.state, case.location) == ("open", "to_laboratory")

    # The office takes it in and gives the tray to a technician.
    manager.goto("/office/today")
    manager.get_by_role("link", name=re.compile(f"Receive.*{number}")).click()
    manager.locator("[name=agent]").fill("Label A, immersion")
    manager.locator("[name=minutes_required]").fill("10")
    manager.locator("[name=minutes]").fill("8")
    manager.get_by_role("button", name="Received and disinfected").click()
    expect(manager.get_by_text(re.compile("shorter than")).first).to_be_visible()
    assert manager.locator("[name=agent]").input_value() == "Label A, immersion"
    manager.locator("[name=minutes]").fill("10")
    manager.get_by_role("button", name="Received and disinfected").click()
    manager.goto("/office/today")
    manager.get_by_label(re.compile(f"{number}")).first.select_option(label="Mina Gypsum")
    manager.get_by_role("button", name=re.compile(f"Give.*{number}")).click()
    manager.wait_for_load_state()

    # Custom tray.
    technician.goto("/bench/work")
    expect(technician.get_by_text(number, exact=True)).to_be_visible()
    bench.start()
    for arch in ("maxillary", "mandibular"):
        bench.type_figure(arch, "border_short_of_sulcus", "2.0", "2.0", "2.0")
        bench.type_figure(arch, "tray_thickness", "2.5")
    bench.save_and_finish()
    bench.hand_over()

    # Definitive impressions at the chair.
    chair.take_arrival()
    chair.open_record()
    chair.record("Send it on")

    # Cast, base and rims.
    bench.receive()
    bench.start()
    bench.type_figure("maxillary", "sulcus_to_papilla", "14,0")
    bench.type_figure("mandibular", "retromolar_pad_height_left", "9.0")
    bench.type_figure("mandibular", "retromolar_pad_height_right", "10.5")
    bench.save_and_finish()
    bench.start()
    bench.type_figure("maxillary", "base_thickness_palate", "2.0", "2.0", "2.0")
    bench.save_and_finish()

    bench.start()
    specification = Specification.objects.filter(case=case, stage_kind="occlusion_rims").first()
    line = specification.lines.get(arch="maxillary", name="anterior_height")
    assert (line.target, line.basis) == (25, "computed")
    expect(technician.get_by_text(re.compile("24.0 to 26.0")).last).to_be_visible()
    bench.type_figure("maxillary", "anterior_height", "22.0", "22.1", "22.0")
    bench.type_figure("mandibular", "posterior_height_left", "6.0", "6.0", "6.1")
    technician.get_by_role("button", name="Save", exact=True).first.click()
    outside = technician.locator("#dimension-maxillary-anterior_height, [data-dimension=anterior_height]")
    expect(technician.get_by_text(re.compile("Outside the configured limits by 1.97")).first).to_be_visible()
    assert outside.count() > 0

    # A technician cannot finish with a figure outside; the work is mended and measured again.
    technician.get_by_role("button", name="Save and finish").first.click()
    expect(
        technician.get_by_text(re.compile("outside its configured range|stand against")).first
    ).to_be_visible()
    bench.scan()
    technician.get_by_role("link", name=re.compile("Measure again")).first.click()
    boxes = technician.locator("input[inputmode=decimal]")
    for index, value in enumerate(("25.0", "25.1", "25.0")):
        boxes.nth(index).fill(value)
    technician.locator("[name=reason]").first.click()
    technician.get_by_label("Work changed, then measured again").check()
    technician.get_by_role("button", name="Save the correction").click()
    expect(technician.get_by_text(re.compile("Within")).first).to_be_visible()
    old, new = Reading.objects.filter(case=case, quantity="anterior_height").order_by("pk")
    assert (old.verdict, new.verdict, new.supersedes) == ("outside", "within", old)

    # The ticket: its paper names case and figures, and its code leads back to this sheet.
    with technician.context.expect_page() as opened:
        technician.get_by_role("button", name=re.compile("ticket", re.I)).first.click()
    opened.value.close()
    ticket = Stage.objects.get(case=case, kind="occlusion_rims").tickets.get()
    with pdfplumber.open(io.BytesIO(bytes(ticket.pdf))) as pdf:
        paper = "\n".join(page.extract_text() for page in pdf.pages)
    assert number in paper
    assert "25.0" in paper
    technician.goto(f"/scan?code={ticket.code.lower()}")
    technician.wait_for_url(re.compile(r"/bench/stages/\d+"))

    technician.get_by_role("button", name=re.compile("Save and finish")).first.click()
    technician.wait_for_url(lambda url: "/finish" not in url)
    bench.hand_over()

    # Jaw relation at the chair, then the arrangement.
    chair.take_arrival()
    chair.open_record()
    chair.type_repeats("vertical_dimension_rest", "68.0", "68.5", "68.0")
    chair.type_repeats("vertical_dimension_occlusion", "65.0", "65.0", "65.5")
    chair.record("Send it on")
    bench.receive()
    bench.start()
    technician.get_by_role("button", name=re.compile("finish", re.I)).first.click()
    technician.wait_for_url(lambda url: "/finish" not in url)
    bench.hand_over()

    # Try-in with a complaint: back to the arrangement.
    chair.take_arrival()
    chair.open_record()
    clinician.locator("[name=outcome]").fill("Midline 2 mm to the right. Shade well liked.")
    clinician.get_by_label(re.compile("Send it back")).check()
    clinician.get_by_label("Tooth arrangement").check()
    clinician.locator("[name=cause]").select_option("midline")
    clinician.locator("[name=note]").fill("Set the upper midline 2 mm to the left.")
    wanted = timezone.localdate() + datetime.timedelta(days=9)
    clinician.locator("[name=wanted_back]").fill(str(wanted))
    clinician.get_by_role("button", name="Record", exact=True).click()
    clinician.wait_for_url(lambda url: "/record" not in url)

    # The second visit.
    manager.goto(f"/office/cases/{number}")
    expect(manager.get_by_text("Midline off").first).to_be_visible()
    bench.receive()
    bench.start()
    expect(technician.get_by_text("Set the upper midline 2 mm to the left.").first).to_be_visible()
    technician.get_by_role("button", name=re.compile("finish", re.I)).first.click()
    technician.wait_for_url(lambda url: "/finish" not in url)
    bench.hand_over()
    chair.take_arrival()
    chair.open_record()
    chair.record("Accepted")

    case.refresh_from_db()
    states = {(stage.kind, stage.visit): stage.state for stage in case.stages.all()}
    assert states["try_in", 1] == "returned"
    assert states["tooth_arrangement", 2] == "done"
    assert states["try_in", 2] == "done"
    assert (case.current_stage.kind, case.location) == ("processing", "to_laboratory")
    acts = list(Event.objects.filter(case=case).values_list("act", flat=True))
    assert acts.count("sent_back") == 1
    assert acts.count("handed_over") == 4
