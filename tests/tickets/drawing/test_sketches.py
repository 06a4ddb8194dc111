"""Each figure that the clinic takes has a small drawing, within its paper, that says in words what it shows."""

from xml.etree import ElementTree

import pytest
from django.template.loader import render_to_string
from django.utils import translation

from labcases.pages.chairside import NAMES
from labcases.prosthodontics.quantities import QUANTITIES, quantity
from labcases.tickets.drawing.sketches import SKETCHED, sketch_of
from labcases.tickets.drawing.sketches.curves import HEIGHT, WIDTH
from labcases.tickets.drawing.sketches.work import usual_work
from tests.tickets.drawing.reading import places_of

SVG = "{http://www.w3.org/2000/svg}"


def places(drawing):
    """Every point and handle of a drawing on its paper; a curve lies within its handles."""
    for view in drawing.views:
        for stroke in (stroke for group in view.groups for stroke in group.strokes):
            for x, y in places_of(stroke.d):
                yield x + view.x, y + view.y


def test_every_figure_that_the_clinic_takes_is_drawn():
    at_the_chair = {name for name, each in QUANTITIES.items() if each.taken_by == "clinic"}
    assert set(SKETCHED) >= at_the_chair | set(NAMES)


def test_a_figure_of_the_bench_alone_has_no_sketch():
    assert sketch_of("tray_thickness") is None


@pytest.mark.parametrize("name", SKETCHED)
def test_a_sketch_stays_near_its_paper_and_marks_the_distance(name):
    drawing = sketch_of(name)
    slack = 3.0
    assert all(-slack <= x <= WIDTH + slack and -slack <= y <= HEIGHT + slack for x, y in places(drawing))
    (marked,) = [group for view in drawing.views for group in view.groups if group.dimension]
    assert marked.dimension == name
    assert marked.strokes


@pytest.mark.parametrize("name", SKETCHED)
def test_a_sketch_says_in_words_what_it_shows(name):
    svg = ElementTree.fromstring(render_to_string("tickets/_rim_drawing.html", {"drawing": sketch_of(name)}))
    assert svg.get("role") == "img"
    assert svg.find(f"{SVG}title").text == quantity(name).label
    assert svg.find(f"{SVG}desc").text == quantity(name).landmarks


def test_right_and_left_are_different_drawings():
    pairs = [name for name in SKETCHED if name.endswith("_left")]
    assert len(pairs) == 3
    for name in pairs:
        mirror = name.removesuffix("left") + "right"
        assert list(places(sketch_of(name))) != list(places(sketch_of(mirror)))


def test_a_drawing_is_kept_for_readers_of_one_language():
    said = []
    for language in ("en-gb", "de", "en-gb"):
        with translation.override(language):
            said.append(repr(usual_work("occlusion_rims")))
    assert said[0] == said[2] != said[1]
    assert "Vordere Höhe" in said[1]
    assert "Vordere Höhe" not in said[0]
