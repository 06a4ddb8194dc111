"""The sheets at true size, read back from the PDF: what is printed is what was computed, to five hundredths."""

import dataclasses
import io

import numpy as np
import pdfplumber
import pytest

from labcases.measurements.derivations import Follows
from labcases.measurements.derivations.strips import strip_of
from labcases.prosthodontics.outline import PapillaPoint, on_paper, outline_rim, plan_from_figures
from labcases.prosthodontics.standard import Schools
from labcases.prosthodontics.strip import tooth_strip
from labcases.prosthodontics.teeth import front_widths
from labcases.tickets.drawing.true_size import rim_view
from labcases.tickets.page import ticket_sheet
from labcases.tickets.pdf import render_pdf
from labcases.tickets.true_size import true_size_sheets
from tests.measurements.derivations.made import CASTS, TARGETS, case, cast, lower, reading, upper
from tests.prosthodontics.outline.rims import random_plan
from tests.tickets.drawing.reading import places_of
from tests.tickets.made_facts import imprint, ticket_facts
from tests.tickets.paper import Paper

MM = 25.4 / 72
CLOSE = 0.05
PAPERS = ["a4", "letter"]
MARKS = [
    reading("canine_line_right", "23", arch="maxillary"),
    reading("canine_line_left", "24", arch="maxillary"),
    reading("rim_display_at_rest", "1.5", arch="maxillary"),
    reading("smile_line_height", "9", arch="maxillary"),
    reading("six_anterior_width", "45", arch="maxillary"),
]


def follows(*readings, schools=None):
    found = case(*cast("maxillary"), *cast("mandibular"), *readings, schools=schools)
    shapes = {"maxillary": upper(found, marked=True), "mandibular": lower(found)}
    strips = {arch: strip_of(found, shape, ()) for arch, shape in shapes.items()}
    return Follows(shapes=shapes, strips=strips)


def sheet_facts(*readings, **more):
    return ticket_facts(specification=None, figures=(), follows=follows(*(readings or MARKS), **more))


@pytest.fixture(scope="module", params=PAPERS)
def printed(request):
    return render_pdf(ticket_sheet(sheet_facts(), imprint(), paper=request.param)).pdf


@pytest.fixture(scope="module")
def pages(printed):
    with pdfplumber.open(io.BytesIO(printed)) as document:
        yield {
            title: page
            for page in document.pages
            for title in ("Rims from above", "Tooth-outline strip")
            if f"{title}, at true size" in page.extract_text()
        }


def polylines(page):
    """Every stroked line of a page as an n × 2 array in mm from the page's top left corner."""
    return [np.array(found["pts"]) * MM for found in (*page.curves, *page.lines)]


def nearest(page, computed):
    """How far (mm) the printed line that fits best is from a computed one, laid over it at the first point."""
    best = np.inf
    for points in polylines(page):
        if len(points) in (len(computed), len(computed) + 1):
            shift = (points[: len(computed)] - points[0]) - (computed - computed[0])
            best = min(best, float(np.hypot(*shift.T).max()))
    return best


def straight(page):
    """Lengths across, down and in all of the strokes that have two points."""
    ends = np.array([points for points in polylines(page) if len(points) == 2])
    return ends[:, 1] - ends[:, 0]


def recomputed(arch):
    """The outline from the very figures, past everything that a ticket is made with."""
    plan = plan_from_figures(
        arch,
        figures={name: float(value) for name, value in CASTS[arch].items()},
        targets={name: float(value) for name, value in TARGETS[arch].items()},
        papilla_reference=PapillaPoint.ANTERIOR_BORDER,
        corrected=True,
    )
    return outline_rim(plan)


def test_each_sheet_is_one_page_of_its_own(printed):
    texts = Paper(printed).texts
    rims, strips = ([n for n, text in enumerate(texts) if f"{title}, at true size" in text] for title in
                    ("Rims from above", "Tooth-outline strip"))  # fmt: skip
    assert (rims, strips) == ([len(texts) - 2], [len(texts) - 1])
    for number in (*rims, *strips):
        assert "Maxillary" in texts[number]
        assert "Mandibular" in texts[number]
        assert "Print at 100 %" in texts[number]


def test_nothing_stands_outside_the_margins_or_on_other_words(printed):
    paper = Paper(printed)
    assert paper.outside(margin=13.0) == []
    assert paper.colliding() == []


def test_a_mould_named_by_one_long_word_is_wrapped_beside_its_strip():
    facts, word = sheet_facts(), "Moulds" * 40
    strips = {arch: dataclasses.replace(each, notes=(word,)) for arch, each in facts.follows.strips.items()}
    follows = dataclasses.replace(facts.follows, strips=strips)
    sheet = ticket_sheet(dataclasses.replace(facts, follows=follows), imprint())
    paper = Paper(render_pdf(sheet).pdf)
    assert paper.bare.count(word) == len(strips)
    assert paper.outside(margin=13.0) == []
    assert paper.colliding() == []


def test_the_lower_outline_on_paper_is_the_computed_one(pages):
    ring = on_paper(recomputed("mandibular").ring[:-1], "mandibular")
    assert nearest(pages["Rims from above"], ring) <= CLOSE


def test_the_upper_outline_on_paper_is_the_computed_one():
    """Without marks of the clinician the canine lines stand over the eminences."""
    pdf = render_pdf(ticket_sheet(sheet_facts(reading("arch_depth", "44", arch="mandibular")), imprint())).pdf
    ring = on_paper(recomputed("maxillary").ring[:-1], "maxillary")
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        [page] = [each for each in document.pages if "Rims from above, at true size" in each.extract_text()]
        assert nearest(page, ring) <= CLOSE
        assert nearest(page, ring * 1.01) > CLOSE


@pytest.mark.parametrize("arch", ["maxillary", "mandibular"])
def test_width_marks_are_as_long_as_the_rim_is_wide(pages, arch):
    lengths = np.hypot(*straight(pages["Rims from above"]).T)
    outline = follows(*MARKS).shapes[arch].outline
    for name in ("molar_right", "premolar_left", "front_left"):
        assert np.abs(lengths - outline.station(name).width).min() <= CLOSE


@pytest.mark.parametrize("title", ["Rims from above", "Tooth-outline strip"])
def test_a_bar_of_100_mm_lies_across_and_one_of_50_mm_along_the_sheet(pages, title):
    across, down = np.abs(straight(pages[title])).T
    assert np.abs(across - 100).min() <= CLOSE
    assert np.abs(down[across < 0.01] - 50).min() <= CLOSE


def test_the_strip_on_paper_is_the_computed_one(pages):
    outline = follows(*MARKS).shapes["maxillary"].outline
    strip = tooth_strip(
        outline,
        widths=front_widths("maxillary", 45.0, teeth=8),
        length=10.5,
        face_height=1.25 * 10.5 + 3,
        resting_lip=1.5,
        smiling_lip=9,
    )
    flipped = np.array([1.0, -1.0])
    page = pages["Tooth-outline strip"]
    assert nearest(page, strip.outline[:-1] * flipped) <= CLOSE
    assert nearest(page, strip.lip_lines["smiling"] * flipped) <= CLOSE
    for tooth in strip.teeth:
        assert nearest(page, tooth.outline[:-1] * flipped) <= CLOSE


def test_lengths_along_the_strip_are_arc_lengths_of_the_rim(pages):
    """Read on the printed cutting line, from the midline to each fold and each canine line."""
    shown = follows(*MARKS)
    outline, strip = shown.shapes["maxillary"].outline, shown.strips["maxillary"].strip
    count = len(strip.unrolled.arc)
    cutting = next(p for p in polylines(pages["Tooth-outline strip"]) if len(p) >= len(strip.outline) - 1)
    edge = cutting[:count]
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(edge, axis=0).T))])
    assert along[-1] == pytest.approx(strip.arc_length, abs=CLOSE)
    middle = along[int(np.argmin(np.abs(strip.unrolled.arc)))]
    for side, sign in (("right", -1), ("left", 1)):
        arc = outline.labial_arc(*sorted((0.0, sign * getattr(outline, side).canine)))
        at = edge[0] + (strip.marks[f"canine_{side}"][0] - strip.unrolled.edge[0]) * np.array([1, -1])
        nearby = int(np.argmin(np.hypot(*(edge - at).T)))
        here = along[nearby] + np.sign(at[0] - edge[nearby][0]) * np.hypot(*(at - edge[nearby]))
        assert abs(here - middle) == pytest.approx(arc, abs=CLOSE)


def test_folds_stand_as_far_apart_as_the_teeth_are_wide():
    widths = np.array([tooth.end - tooth.start for tooth in follows(*MARKS).strips["maxillary"].strip.teeth])
    assert widths[1:-1].sum() == pytest.approx(45.0, abs=CLOSE)


def test_a_laboratory_that_counts_by_universal_numbers_gets_them_on_the_strip():
    [part, _] = true_size_sheets(sheet_facts(schools=Schools(tooth_numbering="universal")))[1].parts
    words = {w.text for view in part.drawing.views for group in view.groups for w in group.words}
    assert {"8", "9"} <= words
    assert "21" not in words


def test_without_a_measured_cast_there_are_no_sheets():
    bare = case()
    nothing = Follows(shapes={"maxillary": upper(bare)}, strips={})
    assert true_size_sheets(ticket_facts(follows=nothing)) == ()


def test_teeth_that_do_not_fit_leave_the_rim_without_a_strip():
    facts = sheet_facts(reading("six_anterior_width", "80", arch="maxillary"))
    rims, strips = true_size_sheets(facts)
    assert [part.title for part in rims.parts] == ["Maxillary", "Mandibular"]
    assert [part.title for part in strips.parts] == ["Mandibular"]


@pytest.mark.parametrize("seed", range(60))
def test_every_plausible_rim_stays_within_its_drawing(seed):
    view = rim_view(outline_rim(random_plan(seed)))
    assert view.width <= 118  # leaves room for its notes on either paper
    for group in view.groups:
        for stroke in group.strokes:
            points = np.array(places_of(stroke.d))
            assert points.min() >= 0
            assert points[:, 0].max() <= view.width
            assert points[:, 1].max() <= view.height
        for box in group.boxes:
            assert box.x >= -0.1
            assert box.right <= view.width + 0.1


def test_the_page_says_where_the_printers_scale_is_worked_out(printed, settings):
    assert "calculators/printer_scale" in Paper(printed).bare


@pytest.mark.parametrize("paper", PAPERS)
def test_the_largest_usual_arches_still_fit_on_one_page(paper):
    """At the far end of what is usual on casts (from memory, no norm)."""
    large = [
        *cast("maxillary", hamular_notch_width="57", arch_depth="58", canine_eminence_width="38"),
        *cast("mandibular", pad_to_pad_width="64", arch_depth="58", canine_eminence_width="36"),
    ]
    readings = [each for each in large if each.quantity != "canine_eminence_depth"]
    found = case(*readings)
    shapes = {"maxillary": upper(found), "mandibular": lower(found)}
    strips = {arch: strip_of(found, shape, ()) for arch, shape in shapes.items()}
    facts = ticket_facts(specification=None, figures=(), follows=Follows(shapes=shapes, strips=strips))
    texts = Paper(render_pdf(ticket_sheet(facts, imprint(), paper=paper)).pdf).texts
    assert "Rims from above, at true size" in texts[-2]
    assert "Print at 100 %" in texts[-2]
    assert "Tooth-outline strip, at true size" in texts[-1]
