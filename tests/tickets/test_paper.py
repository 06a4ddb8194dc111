"""The printed ticket read back: every figure is there, at its size, and nothing is cut off."""

import dataclasses
import io

import numpy as np
import pdfplumber
import pytest
from shapely import LineString

from labcases.prosthodontics.outline import CrestHeights, PapillaPoint, RimPlan, on_paper, outline_rim
from labcases.tickets.drawing.crests import nominal_crest
from labcases.tickets.facts import StepFacts
from labcases.tickets.page import ticket_sheet
from labcases.tickets.pdf import Sheet, render_pdf
from tests.tickets.made_facts import (
    KINDS,
    imprint,
    long_text,
    measured_facts,
    ticket_facts,
)
from tests.tickets.paper import Paper, unseen

MM = 25.4 / 72
MARGIN = 13.0


@pytest.fixture(scope="module")
def facts():
    return ticket_facts(measured={"anterior_height": measured_facts()})


@pytest.fixture(scope="module")
def mark():
    return imprint()


@pytest.fixture(scope="module")
def printed(facts, mark):
    return render_pdf(ticket_sheet(facts, mark))


@pytest.fixture(scope="module")
def paper(printed):
    return Paper(printed.pdf)


@pytest.fixture(scope="module")
def plumbed(printed):
    with pdfplumber.open(io.BytesIO(printed.pdf)) as document:
        yield document


def bare(text):
    return "".join(str(text).split())


def test_every_figure_of_the_specification_is_printed(facts, paper):
    assert sum(len(arch.lines) for arch in facts.specification.arches) > 15
    for arch in facts.specification.arches:
        for line in arch.lines:
            assert bare(line.label) in paper.bare
            assert bare(line.why) in paper.bare
            assert bare(line.source) in paper.bare
            said = f"{line.figure}{line.unit_sign}{line.limits}" if line.target is not None else line.wording
            assert bare(said) in paper.bare, line.name


@pytest.mark.parametrize("kind", ["custom_tray", "record_base"])
def test_every_figure_of_a_tray_and_a_base_is_printed(kind):
    facts = ticket_facts(kind)
    paper = Paper(render_pdf(ticket_sheet(facts, imprint())).pdf)
    for arch in facts.specification.arches:
        for line in arch.lines:
            said = f"{line.figure}{line.unit_sign}{line.limits}" if line.target is not None else line.wording
            assert bare(said) in paper.bare, line.name
    assert paper.outside(margin=MARGIN) == []
    assert paper.colliding() == []


TEXTS = sorted(
    name
    for name, value in dataclasses.asdict(ticket_facts()).items()
    if isinstance(value, str) and name != "stage_kind"
)


@pytest.mark.parametrize("name", TEXTS)
def test_every_fact_is_printed(name, facts, paper):
    assert bare(getattr(facts, name)).lower() in paper.bare.lower()


def test_lists_are_printed_to_their_last_line(facts, paper):
    for said in (*facts.changes, *facts.disinfected, *facts.specification.choices):
        assert bare(said) in paper.bare
    for step in facts.steps:
        assert bare(step.text) in paper.bare


def test_beside_a_specification_only_what_is_known_of_the_patient_is_printed(facts, paper):
    known, unknown = facts.figures
    assert bare(f"{known.name} 13.85 (13.8, 13.9)") in paper.bare
    assert bare(unknown.name) not in paper.bare


def test_a_stage_without_a_specification_has_room_for_each_of_its_figures(facts):
    plain = dataclasses.replace(facts, specification=None, changes=())
    printed = Paper(render_pdf(ticket_sheet(plain, imprint())).pdf).bare
    for figure in facts.figures:
        assert bare(figure.between) in printed


def test_a_reading_is_printed_with_its_verdict_and_who_took_it(paper):
    assert "21.15within" in paper.bare
    assert bare("21.1, 21.2; digital caliper, Tilda Wren, Mon 2 Mar 2026, 09:10") in paper.bare


def test_the_cautions_are_on_the_ticket(paper):
    for caution in (
        "A licensed clinician decides everything that touches the patient.",
        "Figures outside the configured range are for the prescriber to decide.",
        "Local law and the material’s own instructions go before this sheet.",
    ):
        assert bare(caution) in paper.bare


def test_every_page_names_case_revision_time_and_its_number(paper, printed):
    assert printed.pages == len(paper.texts) > 1
    for number, text in enumerate(paper.texts, 1):
        assert "26-00417-K Occlusion rims, visit 2" in " ".join(text.split())
        assert "Specification revision 3" in text
        assert "Printed Mon 2 Mar 2026, 09:14 by Orla Finch" in text
        assert f"Page {number} of {printed.pages}" in text


def test_the_code_is_printed_in_groups_of_four(mark, paper):
    assert " ".join(mark.groups) in " ".join(paper.texts[0].split())


@pytest.mark.parametrize(("size", "millimetres"), [("a4", (210, 297)), ("letter", (215.9, 279.4))])
def test_the_sheet_has_the_size_of_the_paper(size, millimetres, facts, mark):
    sheet = ticket_sheet(dataclasses.replace(facts, specification=None), mark, paper=size)
    for page in Paper(render_pdf(sheet).pdf).sizes:
        assert page == pytest.approx(millimetres, abs=0.1)


def test_text_is_ten_points_or_more_and_key_figures_fourteen(plumbed, facts):
    figures = {line.figure for arch in facts.specification.arches for line in arch.lines if line.figure}
    large = set()
    for page in plumbed.pages:
        for word in page.extract_words(extra_attrs=["size"], keep_blank_chars=False):
            assert word["size"] >= 9.99, word
            if word["size"] >= 13.99:
                large.add(word["text"].rstrip("°"))
    assert figures <= large
    assert {"26-00417-K", "P-100", "BSP"} <= large


def straight_lines(page):
    """Strokes of two points, as (x0, y0, x1, y1) in mm."""
    for found in (*page.lines, *page.curves):
        if len(found["pts"]) == 2:
            (x0, y0), (x1, y1) = found["pts"]
            yield tuple(value * MM for value in (x0, y0, x1, y1))


def test_a_hundred_millimetres_are_a_hundred_millimetres(plumbed):
    lengths = [
        abs(x1 - x0)
        for page in plumbed.pages
        for x0, y0, x1, y1 in straight_lines(page)
        if abs(y1 - y0) < 0.01
    ]
    assert any(abs(length - 100) <= 0.05 for length in lengths)
    assert sum(abs(length - 50) <= 0.05 for length in lengths) == 2  # one on each arch's drawing


def test_the_outline_on_paper_is_the_computed_outline(plumbed):
    """Computed here again from the specification's figures, without the drawing's own code."""
    crest = nominal_crest("maxillary")
    plan = RimPlan(
        arch="maxillary",
        crest=crest.form,
        anterior_width=8.0,
        posterior_width=10.0,
        canine_left=crest.canine,
        canine_right=crest.canine,
        labial_offset=6.0,
        papilla_reference=PapillaPoint.ANTERIOR_BORDER,
        papilla_behind_crest=2.0,
        labial_inclination=100.0,
        heights=CrestHeights(anterior=21.0 - 12.0, posterior_left=8.0, posterior_right=8.0),
        posterior_end_angle=45.0,
    )
    computed = on_paper(outline_rim(plan).ring, "maxillary")
    curves = [np.array(curve["pts"]) * MM for page in plumbed.pages for curve in page.curves]
    assert min(deviation(points, computed) for points in curves if len(points) > 2) <= 0.05


def deviation(printed, computed):
    """Largest distance (mm) of a corner of one from the other, laid over each other at their first points."""
    return LineString(printed - printed[0]).hausdorff_distance(LineString(computed - computed[0]))


def test_an_outline_printed_a_percent_too_large_or_with_a_corner_cut_off_would_be_noticed():
    outline = np.array([(0.0, 0.0), (30.0, 0.0), (30.0, 40.0), (29.0, 40.0)])
    assert deviation(outline * 1.01, outline) > 0.05
    assert deviation(outline[[0, 1, 3]], outline) > 0.05


def test_boxes_to_tick_are_five_millimetres_and_boxes_to_write_in_twelve_or_more(plumbed):
    sizes = [
        (round(rect["width"] * MM, 1), round(rect["height"] * MM, 1))
        for page in plumbed.pages
        for rect in (*page.rects, *page.curves)
    ]
    ticks = [size for size in sizes if 4.4 <= size[0] <= 5.1 and abs(size[0] - size[1]) < 0.05]
    assert len(ticks) >= 2
    boxes = [size for size in sizes if size[0] >= 12 and 7 <= size[1] <= 9]
    assert len(boxes) >= 3 * 15


def test_nothing_needs_colour(plumbed):
    for page in plumbed.pages:
        for thing in (*page.chars, *page.lines, *page.curves, *page.rects):
            for colour in (thing.get("stroking_color"), thing.get("non_stroking_color")):
                if colour and len(colour) == 3:
                    assert max(colour) - min(colour) < 0.01, thing


def test_a_step_that_is_done_is_ticked(facts):
    html = ticket_sheet(facts, imprint()).html
    assert html.count("<title>done</title>") == sum(bool(step.done) for step in facts.steps) == 1


# ---- long values ----

LONG_FIELDS = {
    "laboratory": 120,
    "laboratory_address": 400,
    "practice": 120,
    "practice_code": 8,
    "practice_address": 400,
    "prescriber": 120,
    "licence_number": 40,
    "patient_code": 24,
    "assignee": 120,
    "work_description": 2000,
    "base_material": 120,
    "shade": 40,
    "tooth_wishes": 400,
    "notes": 4000,
    "subcontractor": 120,
    "came_back": 2000,
}


def long_facts(rng, kind):
    """A ticket on which every text that people type is as long as its field allows; 26 values."""
    facts = ticket_facts(kind)
    return dataclasses.replace(
        facts,
        **{name: long_text(rng, most) for name, most in LONG_FIELDS.items()},
        steps=tuple(StepFacts(text=long_text(rng, 300)) for _ in range(6)),
        changes=tuple(long_text(rng, 400) for _ in range(2)),
        disinfected=(long_text(rng, 300),),
        specification=dataclasses.replace(facts.specification, issued_by=long_text(rng, 120)),
    )


def faults_of(facts, *, paper="a4", css=""):
    """What went wrong in print: values that are not there, characters off the sheet, over each other or cut off."""
    sheet = ticket_sheet(facts, imprint(), paper=paper)
    pdf = render_pdf(Sheet(sheet.html, (*sheet.stylesheets, css))).pdf
    read = Paper(pdf)
    found = [
        f"{name} is not all there" for name in LONG_FIELDS if bare(getattr(facts, name)) not in read.bare
    ]
    found += [f"off the sheet: {letter}" for letter in read.outside(margin=MARGIN)[:3]]
    found += [f"over each other: {pair}" for pair in read.colliding()[:3]]
    found += [f"cut off: {letter}" for letter in unseen(pdf)[:3]]
    return found


@pytest.mark.parametrize(
    ("number", "kind", "size"),
    [
        pytest.param(n, KINDS[n % 3], ("a4", "letter")[n % 2], marks=[pytest.mark.full] if n > 1 else [])
        for n in range(20)
    ],
)
def test_long_values_wrap_and_are_not_clipped(number, kind, size, rng):
    assert faults_of(long_facts(rng, kind), paper=size) == []


@pytest.mark.parametrize(
    ("css", "words"),
    [
        (".facts dd { white-space: nowrap }", "off the sheet"),
        (".facts dd { display: block; height: 5mm; overflow: hidden }", "cut off"),
        (".strip dd { display: block; height: 4mm }", "over each other"),
        (".facts { display: none }", "is not all there"),
    ],
    ids=["no wrapping", "hidden overflow", "too low a box", "left out"],
)
def test_clipping_is_noticed_where_it_is_planted(css, words, rng):
    facts = dataclasses.replace(
        long_facts(rng, "occlusion_rims"), specification=None, notes=long_text(rng, 600)
    )
    assert any(words in fault for fault in faults_of(facts, css=css))
