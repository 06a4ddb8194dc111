"""The pages that are photographed: who looks at which address, and what is done there first."""

import io
import re
from dataclasses import dataclass
from typing import Protocol
from urllib.parse import urljoin

from PIL import Image, ImageDraw


class Step(Protocol):
    def do(self, page) -> None: ...


@dataclass(frozen=True)
class Follow:
    """Open the first link whose address fits."""

    pattern: str

    def do(self, page) -> None:
        links = page.eval_on_selector_all("a[href]", "all => all.map(link => link.href)")
        found = next((link for link in links if re.search(self.pattern, link)), None)
        if found is None:
            raise LookupError(f"no link to {self.pattern} on {page.url}")
        page.goto(found)


@dataclass(frozen=True)
class Open:
    address: str

    def do(self, page) -> None:
        page.goto(urljoin(page.url, self.address))


@dataclass(frozen=True)
class OpenWritten:
    """Open an address that the page says, though not as a link."""

    pattern: str

    def do(self, page) -> None:
        found = re.search(self.pattern, page.content())
        if found is None:
            raise LookupError(f"no {self.pattern} on {page.url}")
        page.goto(urljoin(page.url, found[0]))


@dataclass(frozen=True)
class Press:
    """Press the first button that is called so, or begins with it."""

    name: str

    def do(self, page) -> None:
        page.get_by_role("button", name=re.compile(self.name)).first.click()
        page.wait_for_load_state()


@dataclass(frozen=True)
class Tick:
    boxes: str
    first: int

    def do(self, page) -> None:
        for number in range(self.first):
            page.locator(self.boxes).nth(number).check()


@dataclass(frozen=True)
class Choose:
    box: str
    label: str

    def do(self, page) -> None:
        page.locator(self.box).select_option(label=self.label)


@dataclass(frozen=True)
class Fill:
    """Type into the first such box."""

    box: str
    words: str

    def do(self, page) -> None:
        page.locator(self.box).first.fill(self.words)


@dataclass(frozen=True)
class Bring:
    """Choose a file that holds this."""

    name: str
    kind: str
    held: bytes

    def do(self, page) -> None:
        files = {"name": self.name, "mimeType": self.kind, "buffer": self.held}
        page.locator("input[type=file]").first.set_input_files(files)


@dataclass(frozen=True)
class AsSeenLongAgo:
    """Let the page be one that somebody has had open since before the last change."""

    def do(self, page) -> None:
        page.evaluate("document.querySelectorAll('[name=version]').forEach(box => { box.value = '0' })")


@dataclass(frozen=True)
class Shot:
    """One page: a name for its file, who looks at it, its address, and the steps from there."""

    name: str
    who: str
    url: str
    steps: tuple[Step, ...] = ()
    main: bool = False


def drawn() -> bytes:
    """A photograph's stand-in: an arch on a stone-coloured ground."""
    picture = Image.new("RGB", (900, 700), "#cfc6b4")
    pen = ImageDraw.Draw(picture)
    pen.arc((220, 120, 680, 900), 180, 360, fill="#a2544c", width=90)
    kept = io.BytesIO()
    picture.save(kept, "PNG")
    return kept.getvalue()


SHEET = (Follow(r"/bench/stages/\d+$"),)
FIGURE = "main input[inputmode=decimal]"
THREE_TICKED = (Tick("[data-bulk] [name=stage]", 3),)
HELD = (*THREE_TICKED, Choose("#id_do", "Put on hold …"), Press("Go on"))
INVITED = (Follow(r"/people/\d+$"), Press("link"), OpenWritten(r"/password/[\w-]+"))
PRINTED = (
    Tick("[data-bulk] [name=stage]", 12),
    Choose("#id_do", "Print work tickets"),
    Press("Go on"),
    Press("Print|Make"),
)
LATE_LIST = (
    Fill("[name=name]", "Late ones"),
    Press("Save this list"),
    Open("/office/cases/views"),
    Follow(r"/views/\d+$"),
)
ROWS = (
    b"Patient's code,practice,kind,arches\n"
    b"ELM-901,ELM,complete,both\nELM-902,NOWHERE,complete,upper\nHAR-903,HAR,reline,maxillary\n"
)
FILE_READ = (Bring("cases.csv", "text/csv", ROWS), Press("Read the file"))
FILE_ADDED = (
    Bring("cast.png", "image/png", drawn()),
    Choose("[name=view]", "Face from the front, lips at rest"),
    Press("Add"),
    Follow(r"/files/\d+$"),
)
SHOTS = (
    Shot("office-imports", "ledger", "/office/cases/imports"),
    Shot("office-views", "ledger", "/office/cases/views"),
    Shot("office-save-view", "ledger", "/office/cases/views/new?filters=late%3Don"),
    Shot("sign-in", "", "/sign-in", main=True),
    Shot("office-today", "ledger", "/office/today", main=True),
    Shot("office-cases", "ledger", "/office/cases", main=True),
    Shot("office-case", "ledger", "/office/cases/26-00002-M", main=True),
    Shot("office-case-returned", "ledger", "/office/cases/26-00005-G"),
    Shot("office-case-log", "ledger", "/office/cases/26-00005-G/log"),
    Shot("office-case-record", "ledger", "/office/cases/26-00002-M/whole-record"),
    Shot("office-retention", "ledger", "/office/laboratory/retention"),
    Shot("office-files", "ledger", "/cases/26-00002-M/files"),
    Shot("office-tickets", "ledger", "/office/tickets"),
    Shot("office-plan", "ledger", "/office/plan"),
    Shot("office-collections", "ledger", "/office/collections"),
    Shot("office-working-days", "ledger", "/office/laboratory/days"),
    Shot("office-times", "ledger", "/office/laboratory/times"),
    Shot("office-skills", "ledger", "/office/laboratory/skills"),
    Shot("office-moulds", "ledger", "/office/laboratory/moulds"),
    Shot("calculators", "ledger", "/calculators"),
    Shot("calculator", "ledger", "/calculators/freeway_space", main=True),
    Shot("calculator-examples", "ledger", "/calculators/examples"),
    Shot("office-new-case", "ledger", "/office/cases/new", main=True),
    Shot("office-laboratory", "ledger", "/office/laboratory"),
    Shot("office-upkeep", "ledger", "/office/laboratory/upkeep"),
    Shot("office-letters", "ledger", "/office/laboratory/letters"),
    Shot("clinic-letters", "sample", "/clinic/letters"),
    Shot("office-standard", "ledger", "/office/laboratory/standard"),
    Shot("office-checklists", "ledger", "/office/laboratory/checklists"),
    Shot("office-checklist", "ledger", "/office/laboratory/checklists/occlusion_rims"),
    Shot("office-path", "ledger", "/office/laboratory/paths/complete"),
    Shot("office-people", "ledger", "/office/laboratory/people"),
    Shot("office-person", "ledger", "/office/laboratory/people", steps=(Follow(r"/people/\d+$"),)),
    Shot("own-sign-in", "ledger", "/your-sign-in"),
    Shot("own-app", "ledger", "/your-sign-in/app"),
    Shot("own-passkey", "ledger", "/your-sign-in/passkeys/new"),
    Shot("own-password", "ledger", "/your-sign-in/password"),
    Shot("own-pin", "ledger", "/your-sign-in/pin"),
    Shot("bench-device-new", "ledger", "/your-sign-in/bench-device"),
    Shot("office-devices", "ledger", "/office/laboratory/devices"),
    Shot("sign-in-passkey", "", "/sign-in/passkey"),
    Shot("office-practices", "ledger", "/office/laboratory/practices"),
    Shot("office-dates", "ledger", "/office/cases/26-00002-M/dates"),
    Shot("office-receive", "ledger", "/office/cases/26-00007-C/receive"),
    Shot("office-record", "ledger", "/office/cases/26-00009-8/clinic-stage"),
    Shot("office-send-back", "ledger", "/office/cases/26-00002-M/send-back"),
    Shot("office-practice", "ledger", "/office/laboratory/practices", steps=(Follow(r"/practices/\d+$"),)),
    Shot("office-promise", "ledger", "/cases/26-00002-M/promise"),
    Shot("office-prescription", "ledger", "/office/cases/26-00006-E/prescription"),
    Shot("bench-batch", "gypsum", "/bench/batch"),
    Shot("bench-work", "gypsum", "/bench/work", main=True),
    Shot("bench-sheet", "gypsum", "/bench/work", steps=SHEET, main=True),
    Shot("bench-receive", "gypsum", "/bench/cases/26-00007-C/receive"),
    Shot("bench-scan", "gypsum", "/scan?code=26-00002-X"),
    Shot("bench-case", "gypsum", "/bench/cases/26-00002-M"),
    Shot("clinic-case-record", "sample", "/clinic/cases/26-00002-M/whole-record"),
    Shot("clinic-cases", "sample", "/clinic/cases", main=True),
    Shot("clinic-completed", "sample", "/clinic/cases/completed"),
    Shot("clinic-case-log", "sample", "/clinic/cases/26-00002-M/log"),
    Shot("clinic-case", "sample", "/clinic/cases/26-00002-M", main=True),
    Shot("clinic-new-case", "sample", "/clinic/cases/new", main=True),
    Shot("clinic-prescription", "sample", "/clinic/cases/26-00002-M/prescription"),
    Shot("clinic-dates", "sample", "/clinic/cases/26-00002-M/dates"),
    Shot("calendar", "sample", "/calendar"),
    Shot("help-office", "ledger", "/help/office"),
    Shot("help-bench", "gypsum", "/help/bench", main=True),
    Shot("help-clinic", "sample", "/help/clinic"),
    Shot("help-words", "sample", "/help/words"),
    Shot("not-found", "sample", "/clinic/cases/26-99999-0"),
    Shot("clinic-record", "sample", "/clinic/cases", steps=(Follow(r"/record$"),), main=True),
    # Pages that are there once something was done; the demo laboratory changes from here on.
    Shot("office-person-new", "ledger", "/office/laboratory/people/new"),
    Shot("office-hours", "ledger", "/office/laboratory/skills", steps=(Follow(r"/hours$"),)),
    Shot("office-practice-new", "ledger", "/office/laboratory/practices/new"),
    Shot(
        "office-transport",
        "ledger",
        "/office/laboratory/practices",
        steps=(Follow(r"/collections$"),),
    ),
    Shot("office-time", "ledger", "/office/laboratory/times", steps=(Follow(r"/times/\w+$"),)),
    Shot("office-cancel", "ledger", "/office/cases/26-00006-E/cancel"),
    Shot("office-erase-patient", "ledger", "/office/cases/26-00006-E/erase-patient"),
    Shot("office-skip", "ledger", "/office/cases/26-00002-M", steps=(Follow(r"/stages/\d+/skip$"),)),
    Shot(
        "office-bulk",
        "ledger",
        "/office/cases",
        steps=HELD,
    ),
    Shot("office-proposal", "ledger", "/office/plan", steps=(Press("Propose a plan"),)),
    Shot("office-print-run", "ledger", "/office/cases", steps=PRINTED),
    Shot("office-view", "ledger", "/office/cases/views/new?filters=late%3Don", steps=LATE_LIST),
    Shot("office-import-columns", "ledger", "/office/cases/imports", steps=FILE_READ),
    Shot("office-import", "ledger", "/office/cases/imports", steps=(*FILE_READ, Press("Check the rows"))),
    Shot("office-nothing-found", "ledger", "/office/cases?q=nobody"),
    Shot(
        "office-sent-too-late",
        "ledger",
        "/office/cases/26-00002-M/dates",
        steps=(Fill("[name=insertion]", "2030-01-31"), AsSeenLongAgo(), Press("Set")),
    ),
    Shot(
        "set-password",
        "ledger",
        "/office/laboratory/people",
        steps=INVITED,
    ),
    Shot("confirm", "ledger", "/your-sign-in/confirm"),
    Shot("attachment", "gypsum", "/cases/26-00002-M/files", steps=FILE_ADDED),
    Shot(
        "attachment-remove",
        "gypsum",
        "/cases/26-00002-M/files",
        steps=(Follow(r"/files/\d+$"), Follow(r"/remove$")),
    ),
    Shot(
        "bench-sheet-refused",
        "gypsum",
        "/bench/work",
        steps=(*SHEET, Fill(FIGURE, "about 22"), Press("Save")),
    ),
    Shot("bench-sheet-unusual", "gypsum", "/bench/work", steps=(*SHEET, Fill(FIGURE, "220"), Press("Save"))),
    Shot(
        "bench-sheet-measured", "gypsum", "/bench/work", steps=(*SHEET, Fill(FIGURE, "22.4"), Press("Save"))
    ),
    Shot("bench-correct", "gypsum", "/bench/work", steps=(*SHEET, Follow(r"/readings/\d+/correct$"))),
    Shot("bench-send-back", "gypsum", "/bench/work", steps=(*SHEET, Follow(r"/send-back$"))),
    Shot("clinic-send-back", "sample", "/clinic/cases/26-00041-8/send-back"),
    Shot("clinic-new-case-missing", "sample", "/clinic/cases/new", steps=(Press("Send"),)),
)
