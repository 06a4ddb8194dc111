"""The small scripts alone, on a bare page: what a hand scanner and a typing hand make them do."""

import json

import pytest

from labcases.prosthodontics.errors import LabCasesError
from labcases.prosthodontics.millimetres import parse_millimetres

pytestmark = pytest.mark.browser

CODE = "ABCDEFGHIJKLMNOPQRSTUVWX27"
BARE_PAGE = """<!doctype html><html lang="en"><title>Bare</title><body>
<form data-scan action="/scan" method="get">
  <input name="code" aria-label="Code"><button>Open</button>
  <button type="button" id="camera" data-camera hidden>Camera</button>
</form>
<form id="figures" action="/save" method="get">
  <button class="no-enter" type="submit" disabled hidden></button>
  <input id="height" name="height" aria-label="Height" aria-describedby="note"
    data-usual-low="17" data-usual-high="25" data-unit="mm">
  <p class="neutral" id="note"></p>
  <input id="other" aria-label="Other"><button id="save">Save</button>
</form>
<form id="search" action="/search" method="get"><input id="q" name="q" aria-label="Search"></form>
</body></html>"""

SPELLINGS = [
    "12.5", "12,5", " 12.5 ", "12.5 mm", "12.5mm", "007.5", ".5", ",5", "5.", "0", "999.99", "1000", "1.250",
    "1,5.2", "1 2", "12, 5", "1e2", "1_0", "+5", "-5", "−5", "½", "5²", "１２,５", "12.5 cm", "mm", "x",
    "NaN", "0x10", "٣", "12\u200b.5", "21.25", "12.", "..5", "12..5", "12'5", "5 mm mm",
]  # fmt: skip


# What the pages give their scripts to say, in the reader's language.
WORDS = {
    "unusual.js": {
        "unread": "Not read as a figure yet.",
        "unusual": "Unusual: mostly {low} to {high}. If it is what you measured, keep it.",
    },
    "camera.js": {
        "title": "Scan with the camera",
        "hold": "Hold the ticket’s mark before the camera.",
        "close": "Close",
        "unusable": "The camera can’t be used: not allowed for this page.",
    },
}
ADD = """([text, words]) => {
  const script = document.createElement('script');
  Object.assign(script.dataset, words);
  script.textContent = text;
  document.head.append(script);
}"""


def add_script(page, project_root, name: str) -> None:
    text = (project_root / "static" / "js" / name).read_text(encoding="utf-8")
    page.evaluate(ADD, [text, WORDS.get(name, {})])


@pytest.fixture
def bare(chromium, project_root):
    """The bare page with the scripts, and a note of every address that a form was sent to."""
    context = chromium.new_context()
    page = context.new_page()
    sent = []

    def answer(route):
        sent.append(route.request.url.removeprefix("http://bare.invalid"))
        route.fulfill(body=BARE_PAGE, content_type="text/html; charset=utf-8")

    page.route("**/*", answer)
    page.goto("http://bare.invalid/")
    for name in ("scan.js", "unusual.js"):
        add_script(page, project_root, name)
    sent.clear()
    yield page, sent
    context.close()


# Keys sent from outside arrive at the pace of a busy machine, so the page itself plays the scanner.
SCANNER = """([text, end]) => {
  const box = document.activeElement;
  for (const key of [...text, ...(end ? [end] : [])]) {
    const goesOn = box.dispatchEvent(new KeyboardEvent('keydown', {key, bubbles: true, cancelable: true}));
    if (goesOn && key.length === 1 && 'value' in box) box.value += key;
  }
}"""


def scan(page, text: str, end: str = "Enter") -> None:
    """Type as a scanner does: one character after the other without a pause."""
    page.evaluate(SCANNER, [text, end])


def wait_for(page, sent: list[str]) -> list[str]:
    """What was sent: looked for until there is something, for a busy machine's clock strikes late."""
    for _ in range(50):
        page.wait_for_timeout(100)
        if sent:
            break
    return sent


def wait_in_vain(page, sent: list[str]) -> list[str]:
    page.wait_for_timeout(400)
    return sent


@pytest.mark.parametrize("end", ["Enter", "Tab", ""])
@pytest.mark.parametrize("text", [CODE, CODE.lower(), f"HTTPS://LAB.INVALID/T/{CODE}"])
def test_a_ticket_scanned_while_nothing_has_the_focus_opens_its_sheet(bare, text, end):
    page, sent = bare
    scan(page, text, end)
    assert wait_for(page, sent) == [f"/scan?code={CODE}"]


@pytest.mark.parametrize("end", ["Tab", ""])
@pytest.mark.parametrize("text", [CODE, CODE.lower()])
def test_in_the_scan_box_itself_a_reader_needs_no_enter(bare, text, end):
    page, sent = bare
    page.focus("[name=code]")
    scan(page, text, end)
    assert wait_for(page, sent) == [f"/scan?code={text}"]


def test_a_ticket_scanned_into_a_figures_box_opens_its_sheet_and_leaves_the_figure(bare):
    page, _ = bare
    page.fill("#height", "21.2")
    page.focus("#height")
    page.evaluate(
        "document.addEventListener('submit', e => { e.preventDefault(); "
        "window.opened = e.target.elements.code && e.target.elements.code.value; })"
    )
    scan(page, CODE)
    page.wait_for_function("window.opened")
    assert page.evaluate("window.opened") == CODE
    assert page.input_value("#height") == "21.2"


def test_enter_in_a_figures_box_does_not_send_the_form(bare):
    page, sent = bare
    page.focus("#height")
    page.keyboard.type("21.2", delay=60)
    page.keyboard.press("Enter")
    assert wait_in_vain(page, sent) == []


def test_the_forms_own_button_still_sends_it(bare):
    page, sent = bare
    page.fill("#height", "21.2")
    page.click("#save")
    assert wait_for(page, sent) == ["/save?height=21.2"]


def test_enter_in_an_ordinary_search_box_still_searches(bare):
    page, sent = bare
    page.focus("#q")
    page.keyboard.type("26-0042-X")
    page.keyboard.press("Enter")
    assert wait_for(page, sent) == ["/search?q=26-0042-X"]


def test_a_hand_that_types_a_code_slowly_is_not_taken_for_a_scanner(bare):
    page, sent = bare
    page.focus("#other")
    page.keyboard.type(CODE, delay=80)
    assert wait_in_vain(page, sent) == []
    assert page.input_value("#other") == CODE


def test_enter_in_the_scan_box_looks_up_what_was_typed(bare):
    page, sent = bare
    page.focus("[name=code]")
    page.keyboard.type("26-0042-X", delay=60)
    page.keyboard.press("Enter")
    assert wait_for(page, sent) == ["/scan?code=26-0042-X"]


def note_for(page, text: str) -> str:
    page.fill("#height", text)
    page.locator("#height").dispatch_event("change")
    return page.inner_text("#note")


def test_an_unusual_figure_gets_a_neutral_note_and_keeps_its_value(bare):
    page, _ = bare
    assert note_for(page, "31,0").startswith("Unusual: mostly 17 to 25 mm.")
    assert page.input_value("#height") == "31,0"
    assert note_for(page, "21,2") == ""


def test_no_note_appears_while_a_figure_is_still_being_typed(bare):
    page, _ = bare
    page.focus("#height")
    page.keyboard.type("2", delay=60)
    assert page.inner_text("#note") == ""


def test_the_note_reads_a_figure_as_the_form_will_read_it(bare):
    page, _ = bare
    differing = []
    for text in SPELLINGS:
        note = note_for(page, text)
        try:
            value = parse_millimetres(text)
            expected = "" if 17 <= value <= 25 else "Unusual"
        except LabCasesError:
            expected = "Not read"
        if not note.startswith(expected) or bool(note) != bool(expected):
            differing.append((text, note, expected))
    assert not differing, json.dumps(differing, ensure_ascii=False, indent=1)


# Chromium reads codes by itself on few systems, so the page is given a reader and a camera that sees a canvas.
READS_CODES = """([formats, code]) => {
  let looks = 0;
  window.BarcodeDetector = class {
    static getSupportedFormats() { return Promise.resolve(formats); }
    detect() { looks += 1; return Promise.resolve(looks > 2 ? [{rawValue: code}] : []); }
  };
  const canvas = document.createElement('canvas');
  canvas.getContext('2d').fillRect(0, 0, 10, 10);
  window.tracks = [];
  Object.defineProperty(navigator, 'mediaDevices', {value: {getUserMedia: async () => {
    if (!code) throw new Error('not allowed');
    const stream = canvas.captureStream(5);
    window.tracks.push(...stream.getTracks());
    return stream;
  }}});
}"""


def with_camera(page, project_root, formats=("qr_code",), code=f"HTTPS://LAB.INVALID/T/{CODE}"):
    page.evaluate(READS_CODES, [list(formats), code])
    add_script(page, project_root, "camera.js")


def test_the_camera_reads_a_ticket_and_is_let_go(bare, project_root):
    page, _ = bare
    page.evaluate("document.addEventListener('submit', e => { e.preventDefault(); window.sent = true; })")
    with_camera(page, project_root)
    page.click("#camera")
    page.wait_for_function("window.sent")
    assert page.input_value("[name=code]").endswith(CODE)
    assert page.evaluate("window.tracks.map(track => track.readyState)") == ["ended"]
    assert not page.is_visible("dialog")


def test_a_camera_that_is_not_allowed_is_said_in_words(bare, project_root):
    page, sent = bare
    with_camera(page, project_root, code="")
    page.click("#camera")
    page.wait_for_selector("dialog >> text=not allowed for this page")
    page.click("dialog button")
    assert not page.is_visible("dialog")
    assert sent == []


@pytest.mark.parametrize("formats", [[], ["ean_13"]])
def test_where_no_code_can_be_read_there_is_no_camera_button(bare, project_root, formats):
    page, _ = bare
    with_camera(page, project_root, formats=formats)
    page.wait_for_timeout(100)
    assert not page.is_visible("#camera")
