"""Plays the five-minute tutorial on a demo laboratory of its own and takes its pictures anew:
`python -m tests.tools.tutorial [OUT_DIR]`. If a step cannot be done as the tutorial says, it stops there."""

import datetime
import re
import sys
from collections.abc import Callable
from pathlib import Path

from tests.tools.browser import chromium
from tests.tools.screens import ROOT, as_small_picture, demo_site, signed_in

OUT = ROOT / "docs" / "tutorial"
PHONE, DESK = (390, 844), (1180, 820)
WRITTEN = {
    "patient_code": "ELM-900",
    "patient_age": "74",
    "work_description": "Complete upper and lower dentures, new.",
    "base_material": "Heat-cured acrylic",
    "subcontractor": "none",
    "figure_papilla_to_resting_lip": "9,5",
    "figure_incisal_display": "1.5",
    "figure_sulcus_to_papilla": "14",
}


class Story:
    """Three people at their machines; `show` takes the next picture of what one of them sees."""

    def __init__(self, browser, base: str, out: Path) -> None:
        self.out, self.base, self.taken = out, base, []
        people = (("sample", PHONE), ("ledger", DESK), ("gypsum", DESK))
        self.clinician, self.manager, self.technician = (
            signed_in(browser, base, who, width, "light", height) for who, (width, height) in people
        )
        self.number = ""

    def show(self, page, name: str, at: str = "") -> None:
        if at:
            page.locator(at).first.evaluate("part => part.scrollIntoView({block: 'center'})")
        path = self.out / f"{len(self.taken) + 1}-{name}.png"
        as_small_picture(page.screenshot()).save(path, optimize=True)
        self.taken.append(path)

    def go(self, page, address: str) -> None:
        page.goto(self.base + address)


def prescribe(story: Story) -> None:
    page = story.clinician
    story.go(page, "/clinic/cases/new")
    page.locator("[name=starts_at]").select_option("occlusion_rims")
    page.evaluate("document.querySelectorAll('main details').forEach(part => { part.open = true })")
    for name, words in WRITTEN.items():
        page.locator(f"[name={name}]").fill(words)
    wanted = datetime.datetime.now(tz=datetime.UTC).date() + datetime.timedelta(days=10)
    page.locator("[name=wanted_jaw_relation]").fill(wanted.isoformat())
    story.show(page, "what-a-figure-is", "[name=figure_incisal_display]")
    page.locator("[name=sign]").check()
    story.show(page, "nothing-is-missing", "#still-missing")
    page.get_by_role("button", name="Send the prescription").click()
    page.wait_for_url(re.compile(r"/clinic/cases/[\d-]+\w$"))
    story.number = page.url.rpartition("/")[2]


def take_in(story: Story) -> None:
    page, number = story.manager, story.number
    story.go(page, f"/office/cases/{number}/receive")
    for name, words in {"agent": "Label A, immersion", "minutes": "10", "minutes_required": "10"}.items():
        page.locator(f"[name={name}]").fill(words)
    story.show(page, "receive")
    page.get_by_role("button", name="Received and disinfected").click()
    page.wait_for_url(lambda url: "/receive" not in url)
    story.go(page, "/office/today")
    page.get_by_label(re.compile(number)).first.select_option(label="Mina Gypsum")
    story.show(page, "give-it-out", f"text={number}")
    page.get_by_role("button", name=re.compile(f"Give.*{number}")).click()
    page.wait_for_load_state()


def make(story: Story) -> None:
    page = story.technician
    story.go(page, "/bench/work")
    page.locator("#scan-code").fill(story.number)
    page.locator("#scan-code").press("Enter")
    page.wait_for_url(re.compile(r"/bench/stages/\d+"))
    page.get_by_role("button", name="Start", exact=True).click()
    page.wait_for_load_state()
    why = page.locator(
        "[data-dimension=anterior_height] details.why, #dimension-maxillary-anterior_height details.why"
    )
    why.first.evaluate("part => { part.open = true }")
    story.show(page, "why-this-height", "[name='maxillary-anterior_height-1']")


def check(story: Story) -> None:
    page = story.technician
    page.locator("[name='maxillary-anterior_height-1']").fill("22,4")
    page.get_by_role("button", name="Save", exact=True).first.click()
    page.wait_for_load_state()
    story.show(page, "outside", "text=/Outside the configured/")
    page.get_by_role("link", name=re.compile("Measure again")).first.click()
    for box, value in enumerate(("25.0", "25.1", "25.0")):
        page.locator("input[inputmode=decimal]").nth(box).fill(value)
    page.get_by_label("Work changed, then measured again").check()
    page.get_by_role("button", name="Save the correction").click()
    page.wait_for_load_state()
    story.show(page, "within", "text=/Within/")


PARTS: tuple[Callable[[Story], None], ...] = (prescribe, take_in, make, check)


def play(out: Path = OUT) -> list[Path]:
    out.mkdir(parents=True, exist_ok=True)
    for old in out.glob("*.png"):
        old.unlink()
    with demo_site() as base, chromium() as browser:
        story = Story(browser, base, out)
        for part in PARTS:
            part(story)
    return story.taken


if __name__ == "__main__":
    for path in play(Path(sys.argv[1]) if len(sys.argv) > 1 else OUT):
        sys.stdout.write(f"{path}\n")
