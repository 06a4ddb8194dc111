"""The scan code read off the printed sheet, as clean and as worn as paper gets."""

import random

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from PIL import Image, ImageFilter

from labcases.tickets.codes import LENGTH, new_code, parse_code, scan_mark
from labcases.tickets.page import ticket_sheet
from labcases.tickets.pdf import Sheet, render_pdf
from tests.tickets.made_facts import PUBLIC_URL, imprint, ticket_facts

DPI = 300


def pictures(pdf, *, dpi=DPI):
    """Every page as a grey picture."""
    with pypdfium2.PdfDocument(pdf) as document:
        for number in range(len(document)):
            page = document[number]
            yield page.render(scale=dpi / 72, grayscale=True).to_pil()
            page.close()


def read(picture):
    found = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
    return found[0].text if found else ""


def worn(picture, rng: random.Random):
    """Turned, blurred, greyed, noisy, with a blot of plaster near its middle: what a scanner meets at a bench."""
    picture = picture.rotate(
        rng.uniform(-25, 25), expand=True, fillcolor=255, resample=Image.Resampling.BICUBIC
    )
    picture = picture.filter(ImageFilter.GaussianBlur(rng.uniform(0.5, 2.2)))
    grey = np.asarray(picture, dtype=float) * rng.uniform(0.55, 0.8) + rng.uniform(10, 50)
    grey += np.random.default_rng(rng.getrandbits(32)).normal(0, rng.uniform(4, 16), grey.shape)
    x, y = (rng.randrange(2 * side // 5, side // 2) for side in (grey.shape[1], grey.shape[0]))
    size = grey.shape[0] // 16
    grey[y : y + size, x : x + size] = rng.uniform(120, 220)
    return Image.fromarray(grey.clip(0, 255).astype(np.uint8))


def sheet_of(codes):
    """One mark a page, at the size that tickets print it."""
    pages = []
    for code in codes:
        mark = scan_mark(code, public_url=PUBLIC_URL)
        pages.append(
            f'<svg viewBox="0 0 {mark.modules} {mark.modules}" width="{mark.side}mm" height="{mark.side}mm">'
            f'<path d="{mark.path}" fill="#000"/></svg>'
        )
    style = "@page { size: 46mm 46mm; margin: 6mm } svg { display: block; break-after: page }"
    return render_pdf(Sheet(f"<title>Marks</title>{''.join(pages)}", (style,))).pdf


def test_the_mark_on_the_printed_ticket_is_read_and_leads_to_its_code():
    mark = imprint()
    first = next(pictures(render_pdf(ticket_sheet(ticket_facts(), mark)).pdf))
    assert read(first) == f"HTTPS://CASES.EXAMPLE.TEST/T/{mark.code}"
    assert parse_code(read(first)) == mark.code


@pytest.mark.parametrize(
    ("many", "asked"), [(20, 18), pytest.param(500, 495, marks=pytest.mark.full)], ids=["20", "500"]
)
def test_worn_marks_are_read(many, asked, rng, proof):
    """At least 99 of 100 in the long form; a mark that is read is always read right."""
    codes = [new_code() for _ in range(many)]
    read_back = [read(worn(page, rng)) for page in pictures(sheet_of(codes))]
    wrong = [text for text, code in zip(read_back, codes, strict=True) if text and parse_code(text) != code]
    assert wrong == []
    assert sum(map(bool, read_back)) >= asked
    proof("worn-scan-marks").reached(many, f"worn marks tried, {sum(map(bool, read_back))} read")


def test_a_mark_that_is_half_covered_is_not_read():
    (page,) = pictures(sheet_of([new_code()]))
    covered = np.asarray(page).copy()
    covered[:, : covered.shape[1] // 2] = 255
    assert read(Image.fromarray(covered)) == ""


def test_the_mark_says_nothing_but_its_address():
    mark = imprint()
    facts = ticket_facts()
    for secret in (facts.patient_code, facts.case_number, facts.practice_code, facts.prescriber):
        assert secret.upper() not in mark.mark.content
    assert mark.mark.content.rpartition("/")[2] == mark.code
    assert len(mark.code) == LENGTH
