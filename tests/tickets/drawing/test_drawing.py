"""Drawings of random work: no label collides or leaves the sheet, and what is drawn is what is specified."""

import dataclasses
import random
from decimal import Decimal
from itertools import combinations

import numpy as np
import pytest
from django.template.loader import render_to_string

from labcases.prosthodontics.quantities import QUANTITIES
from labcases.tickets.drawing import Box, DrawingFacts, draw_work
from labcases.tickets.drawing.crests import FROM_THE_CAST, NOT_THIS_PATIENT, crest_for, nominal_crest
from labcases.tickets.drawing.labels import LABEL_WIDTH, SHORT_NAMES
from labcases.tickets.drawing.lettering import BODY, shortened, text_width, wrapped
from labcases.tickets.drawing.rim import rim_from
from labcases.tickets.drawing.rim_section import Cut
from tests.tickets.made_facts import ARCHES, KINDS, drawing_facts, measured_facts

VERDICTS = ("within", "outside", "measure again", "")
CAST = {
    "maxillary": ("hamular_notch_width", "arch_depth", "canine_eminence_width"),
    "mandibular": ("pad_to_pad_width", "arch_depth", "canine_eminence_width"),
}


def random_between(rng, limits):
    low, high = (int(limit * 100) for limit in limits)
    return Decimal(rng.randint(low, high)) / 100


def random_work(rng: random.Random) -> DrawingFacts:
    """Any kind of work with any figures that a specification may hold, some of them impossible together."""
    kind, arch = rng.choice(KINDS), rng.choice(ARCHES)
    facts = drawing_facts(kind, arch, figures={})
    changed = {}
    for name, each in facts.dimensions.items():
        limits = QUANTITIES[name].cannot_be if name in QUANTITIES else None
        if limits and each.target is not None and rng.random() < 0.6:
            target = random_between(rng, limits if rng.random() < 0.5 else QUANTITIES[name].unusual)
            target = target.quantize(Decimal(1)) if each.unit == "count" else target
            low, high = target - 1, target + 1
            each = dataclasses.replace(each, target=target, figure=f"{target}", limits=f"{low} to {high}")
        if rng.random() < 0.5:
            each = dataclasses.replace(
                each, measured=f"{rng.uniform(0, 120):.2f}", verdict=rng.choice(VERDICTS)
            )
        changed[name] = each
    left_out = [name for name in changed if rng.random() < 0.1]
    kept = {name: each for name, each in changed.items() if name not in left_out}
    return dataclasses.replace(facts, dimensions=kept, cast=random_cast(rng, arch))


def random_cast(rng, arch):
    if rng.random() < 0.5:
        return {}
    limits = (
        QUANTITIES[name].cannot_be if rng.random() < 0.3 else QUANTITIES[name].unusual for name in CAST[arch]
    )
    return {name: random_between(rng, each) for name, each in zip(CAST[arch], limits, strict=True)}


def collisions(boxes: list[Box]) -> list[tuple[Box, Box]]:
    return [(a, b) for a, b in combinations(boxes, 2) if a.overlaps(b)]


def test_no_label_collides_or_leaves_the_sheet_on_300_random_drawings(rng):
    for number in range(300):
        facts = random_work(rng)
        drawing = draw_work(facts, form=("wide", "narrow")[number % 2])
        sheet = Box(0, 0, drawing.width, drawing.height)
        assert collisions(drawing.boxes) == [], facts
        assert [box for box in drawing.boxes if not sheet.holds(box, slack=0.01)] == [], facts
        assert words_outside_their_label(drawing) == [], facts


def words_outside_their_label(drawing):
    return [
        words
        for view in drawing.views
        for group in view.groups
        for words in (group.words if group.dimension else ())
        if not any(box.holds(words.box, slack=0.6) for box in group.boxes)
    ]


def test_two_labels_over_each_other_would_be_noticed():
    assert collisions([Box(0, 0, 10, 5), Box(9, 4, 10, 5), Box(30, 0, 5, 5)]) == [
        (Box(0, 0, 10, 5), Box(9, 4, 10, 5))
    ]
    assert collisions([Box(0, 0, 10, 5), Box(10, 0, 10, 5)]) == []


@pytest.mark.parametrize("arch", ARCHES)
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("form", ["wide", "narrow"])
def test_every_dimension_has_its_label_with_target_and_limits(kind, arch, form):
    facts = drawing_facts(kind, arch)
    drawing = draw_work(facts, form=form)
    said = {
        group.dimension: [words.text for words in group.words]
        for view in drawing.views
        for group in view.groups
        if group.dimension
    }
    assert set(said) == set(facts.dimensions)
    for name, each in facts.dimensions.items():
        assert said[name][0] == SHORT_NAMES[name]
        if each.target is not None:
            assert said[name][1].rstrip("°") == each.figure
            assert said[name][2] == each.limits


@pytest.mark.parametrize(("verdict", "words"), [("within", 1), ("measure again", 2)])
def test_a_measured_value_stands_under_its_target_with_its_verdict(verdict, words):
    taken = {"anterior_height": measured_facts("21.15", verdict)}
    facts = drawing_facts("occlusion_rims", "maxillary", measured=taken)
    group = group_of(draw_work(facts), "anterior_height")
    assert " ".join(each.text for each in group.words).endswith(f"21.15 {verdict}")
    assert len(group.words) == 3 + words
    bare = group_of(draw_work(drawing_facts("occlusion_rims", "maxillary")), "anterior_height")
    assert len(group.strokes) == len(bare.strokes) + 1  # the verdict's shape


def group_of(drawing, dimension):
    return next(group for view in drawing.views for group in view.groups if group.dimension == dimension)


def test_each_verdict_has_its_own_shape():
    shapes = {
        group_of(
            draw_work(drawing_facts(measured={"anterior_height": measured_facts("21.15", verdict)})),
            "anterior_height",
        ).strokes
        for verdict in ("within", "outside", "measure again")
    }
    assert len(shapes) == 3


def test_a_kind_of_work_that_is_not_drawn_has_no_drawing():
    assert draw_work(DrawingFacts(kind="master_cast", arch="maxillary")) is None


def test_without_a_measured_cast_the_drawing_says_that_it_is_not_this_patients_arch():
    assert NOT_THIS_PATIENT in all_words(draw_work(drawing_facts()))


def all_words(drawing):
    return " ".join(words.text for view in drawing.views for group in view.groups for words in group.words)


def measured_cast(**changes):
    cast = {"hamular_notch_width": "47", "arch_depth": "45", "canine_eminence_width": "32"} | changes
    return {name: Decimal(value) for name, value in cast.items()}


def test_a_measured_cast_is_drawn_on_its_own_curve():
    facts = dataclasses.replace(drawing_facts(), cast=measured_cast())
    crest = crest_for(facts)
    assert crest.words == FROM_THE_CAST
    assert crest.form.half_width("left") == pytest.approx(23.5)
    assert crest.canine == pytest.approx(16.0)
    assert FROM_THE_CAST in all_words(draw_work(facts))


@pytest.mark.parametrize(
    "changes", [{"hamular_notch_width": "70"}, {"arch_depth": "70"}, {"canine_eminence_width": "60"}]
)
def test_a_cast_that_has_no_room_or_makes_no_arch_is_drawn_on_the_nominal_curve(changes):
    facts = dataclasses.replace(drawing_facts(), cast=measured_cast(**changes))
    drawn = all_words(draw_work(facts))
    assert NOT_THIS_PATIENT in drawn or "make no rim" in drawn


@pytest.mark.parametrize("name", ["hamular_notch_width", "arch_depth", "canine_eminence_width"])
def test_a_cast_with_a_figure_missing_is_drawn_on_the_nominal_curve(name):
    cast = measured_cast()
    del cast[name]
    assert crest_for(dataclasses.replace(drawing_facts(), cast=cast)) == nominal_crest("maxillary")


def test_figures_that_make_no_rim_are_labelled_as_they_are_and_drawn_as_usual():
    facts = drawing_facts()
    narrow = dataclasses.replace(facts.dimensions["posterior_width"], target=Decimal(3), figure="3.0")
    facts = dataclasses.replace(facts, dimensions=facts.dimensions | {"posterior_width": narrow})
    drawing = draw_work(facts)
    assert "make no rim" in all_words(drawing)
    assert group_of(drawing, "posterior_width").words[1].text == "3.0"


def test_the_rim_is_drawn_as_wide_as_it_is_specified():
    facts = drawing_facts()
    outline = rim_from(facts).outline
    for station, name in (("front_right", "anterior_width"), ("molar_right", "posterior_width")):
        found = outline.station(station)
        drawn = np.hypot(*np.subtract(found.labial, found.lingual))
        target = float(facts.dimensions[name].target)
        assert drawn == pytest.approx(target, abs=0.4), name


def test_the_labial_face_leans_by_its_inclination():
    """tan(100° − 90°) × 21 mm = 3.70 mm between the edge and the foot of the face (derived here)."""
    cut = Cut(rim_from(drawing_facts()), plane=30)
    assert cut.foot == pytest.approx(3.70, abs=0.005)


def test_the_drawing_has_its_alternative_text_first():
    drawing = draw_work(drawing_facts())
    html = render_to_string("tickets/_rim_drawing.html", {"drawing": drawing})
    inside = html[html.index(">") + 1 :].lstrip()
    assert inside.startswith("<title>Maxillary occlusion rim with its dimensions</title>")
    assert "Anterior height: 21.0 mm, 20.0 to 22.0" in inside
    assert 'data-dimension="anterior_height"' in inside
    assert "style=" not in html


def test_on_paper_a_millimetre_of_the_drawing_is_a_millimetre():
    drawing = draw_work(drawing_facts())
    html = render_to_string("tickets/_rim_drawing.html", {"drawing": drawing, "on_paper": True})
    assert f'viewBox="0 0 {drawing.width} {drawing.height}"' in html
    assert f'width="{drawing.width}mm" height="{drawing.height}mm"' in html


def test_every_short_name_fits_its_label():
    for name in SHORT_NAMES.values():
        assert text_width(name, BODY) <= LABEL_WIDTH, name


def test_text_is_wrapped_and_cut_to_its_width():
    lines = wrapped("two thirds of the height of the retromolar pad", BODY, width=LABEL_WIDTH)
    assert " ".join(lines) == "two thirds of the height of the retromolar pad"
    assert all(text_width(line, BODY) <= LABEL_WIDTH for line in lines)
    assert shortened("unusually long and winding", BODY, width=20).endswith("…")
    assert text_width(shortened("unusually long and winding", BODY, width=20), BODY) <= 20
