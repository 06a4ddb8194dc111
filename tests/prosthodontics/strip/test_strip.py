"""The labial face laid flat, and the teeth on it."""

from itertools import pairwise

import numpy as np
import pytest
from shapely.geometry import LineString, Point, Polygon

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.outline import outline_rim
from labcases.prosthodontics.strip import tooth_outline, tooth_strip, unroll
from labcases.prosthodontics.strip.toothforms import CANINE, FORMS, INCISOR
from tests.prosthodontics.outline.rims import random_plan, usual_plan

SIX = (8.5, 6.5, 7.5)
TEN = (8.5, 6.5, 7.5, 7.0, 7.0)


def usual_strip(outline=None, **changes):
    settings = {"widths": SIX, "length": 10.5, "face_height": 14.0} | changes
    return tooth_strip(outline or outline_rim(usual_plan()), **settings)


def length_of(points):
    return LineString(points).length


def test_lengths_along_the_strip_are_arc_lengths_on_the_rim():
    """Within 0.05 mm, between the canine lines, measured on the rim's own edge."""
    outline = outline_rim(usual_plan())
    strip = usual_strip(outline)
    right, left = strip.marks["canine_right"][0], strip.marks["canine_left"][0]
    edge = strip.unrolled.along(0.0)
    line = LineString(edge)
    along = line.project(Point(left)) - line.project(Point(right))
    assert along == pytest.approx(outline.arc_between_canine_lines, abs=0.05)
    assert length_of(edge) == pytest.approx(strip.arc_length, abs=0.05)


@pytest.mark.parametrize("inclination", [80, 90, 95, 100, 105])
@pytest.mark.parametrize("up", [0.0, 4.0, 9.0])
def test_lines_higher_up_the_face_are_as_long_as_on_the_leaning_rim(inclination, up):
    """The line at one height on the solid rim, canine to canine, against the same line on the strip."""
    outline = outline_rim(usual_plan(labial_inclination=inclination))
    flat = unroll(outline, half_length=26, height=10)
    s = np.linspace(-outline.right.canine, outline.left.canine, 2001)
    frames = outline.frames_at(s)
    # Going up the face by `up` moves back by its horizontal part; the plan view keeps the line's length.
    on_rim = frames.labial - frames.outward * up * np.cos(np.radians(180 - inclination))
    arc = outline.arc_between_canine_lines / 2
    inside = (flat.arc >= -arc) & (flat.arc <= arc)
    places = np.concatenate([[-arc], flat.arc[inside], [arc]])
    on_strip = flat.place(places, np.full(places.size, up))
    assert length_of(on_strip) == pytest.approx(length_of(on_rim), abs=0.05)


def test_an_upright_face_becomes_a_straight_strip():
    flat = unroll(outline_rim(usual_plan(labial_inclination=90)), half_length=24, height=12)
    assert np.abs(flat.edge[:, 1]).max() < 1e-9
    assert np.ptp(flat.edge[:, 0]) == pytest.approx(48)


def test_a_leaning_face_becomes_a_bow_whose_upper_edge_is_shorter():
    """Derived: the edge's curvature on paper is that of the rim times the cosine of the inclination."""
    outline = outline_rim(usual_plan(labial_inclination=100))
    flat = unroll(outline, half_length=22, height=12)
    assert length_of(flat.along(flat.face)) < length_of(flat.along(0.0)) - 1
    turn_on_paper = abs(flat.heading[-1] - flat.heading[0])
    points = outline.labial[np.abs(outline.frames.s) <= outline.left.canine]
    steps = np.diff(points, axis=0)
    turn_on_rim = np.abs(np.diff(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0])))).sum()
    assert turn_on_paper == pytest.approx(turn_on_rim * np.cos(np.radians(80)), rel=0.1)


def test_the_height_along_the_face_is_longer_than_the_vertical_height():
    """Derived: 14 / sin 100° = 14.216."""
    strip = usual_strip()
    assert strip.unrolled.face == pytest.approx(14.216, abs=0.0005)
    assert length_of(strip.marks["midline"]) == pytest.approx(14.216, abs=0.0005)


@pytest.mark.parametrize("widths", [SIX, SIX + (7.0,), TEN])
def test_six_eight_or_ten_teeth_stand_side_by_side_without_gap(widths):
    strip = usual_strip(widths=widths)
    assert len(strip.teeth) == 2 * len(widths)
    for tooth, neighbour in pairwise(strip.teeth):
        assert tooth.end == pytest.approx(neighbour.start)
    assert strip.teeth[-1].end - strip.teeth[0].start == pytest.approx(2 * sum(widths))


def test_teeth_carry_their_iso_numbers_from_right_to_left():
    assert [tooth.number for tooth in usual_strip().teeth] == [13, 12, 11, 21, 22, 23]
    lower = usual_strip(outline_rim(usual_plan(arch="mandibular", labial_offset=None)))
    assert [tooth.number for tooth in lower.teeth] == [43, 42, 41, 31, 32, 33]


def test_a_fold_lies_between_each_two_teeth_and_beyond_the_last():
    strip = usual_strip(widths=TEN)
    assert len(strip.folds) == len(strip.teeth) + 1
    places = sorted([tooth.start for tooth in strip.teeth] + [strip.teeth[-1].end])
    for fold, arc in zip(strip.folds, places, strict=True):
        assert fold[0] == pytest.approx(strip.unrolled.place(np.array([arc]), np.array([0.0]))[0], abs=1e-6)


def test_every_tooth_lies_on_the_strip_and_is_as_long_as_its_crown_should_be():
    """Lengths in the proportion of average crowns: lateral 9.0/10.5 (seen), canine 10.0/10.5 (recalled)."""
    strip = usual_strip(outline_rim(usual_plan(labial_inclination=90)))
    sheet = Polygon(strip.outline).buffer(1e-6)
    lengths = {}
    for tooth in strip.teeth:
        assert sheet.contains(Polygon(tooth.outline)), tooth.number
        lengths[tooth.number] = np.ptp(tooth.outline[:, 1])
    assert lengths[11] == lengths[21] == pytest.approx(10.5)
    assert lengths[12] == pytest.approx(9.0)
    assert lengths[13] == pytest.approx(10.0)


def test_the_lip_lines_keep_their_height_above_the_edge():
    """Along the face a vertical height is divided by the sine of the inclination."""
    strip = usual_strip(resting_lip=1.0, smiling_lip=9.0)
    edge = LineString(strip.unrolled.along(0.0))
    for name, vertical in (("resting", 1.0), ("smiling", 9.0)):
        distances = [edge.distance(Point(point)) for point in strip.lip_lines[name][20:-20:10]]
        assert distances == pytest.approx([vertical / np.sin(np.radians(100))] * len(distances), abs=0.02)


def test_a_lip_that_covers_the_edge_is_said_and_not_drawn():
    strip = usual_strip(resting_lip=-2.0, smiling_lip=20.0)
    assert strip.lip_lines == {}
    assert any("covers the edge by 2.0 mm" in note for note in strip.notes)
    assert any("beyond the top" in note for note in strip.notes)


def test_the_strip_says_how_three_teeth_stand_to_each_canine_line():
    outline = outline_rim(usual_plan())
    half = outline.arc_between_canine_lines / 2
    notes = " ".join(usual_strip(outline).notes)
    assert f"three teeth take 22.5 mm; the canine line is {half:.1f} mm" in notes
    assert f"({half - 22.5:+.1f} mm)" in notes


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"widths": (8.5, 6.5)}, "tooth_widths"),
        ({"widths": (8.5, 6.5, 7.5, 7, 7, 10)}, "tooth_widths"),
        ({"widths": (20, 6.5, 7.5)}, "tooth_widths"),
        ({"widths": (14, 14, 14, 14, 14)}, "tooth_widths"),
        ({"length": 30}, "tooth_length"),
    ],
)
def test_teeth_that_do_not_fit_any_strip_are_refused_by_name(changes, named):
    with pytest.raises(InputError) as refusal:
        usual_strip(**changes)
    assert refusal.value.field == named


def test_a_face_longer_than_the_rim_is_refused():
    with pytest.raises(InputError, match="half_length"):
        unroll(outline_rim(usual_plan()), half_length=80, height=10)


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize(("width", "length"), [(8.5, 10.5), (5.0, 9.0), (7.5, 12.0)])
def test_a_tooth_outline_is_simple_closed_and_exactly_as_wide_and_long_as_asked(form, width, length):
    ring = tooth_outline(form, width=width, length=length)
    assert Polygon(ring).is_valid
    assert (ring[0] == ring[-1]).all()
    assert np.ptp(ring[:, 0]) == pytest.approx(width)
    assert np.ptp(ring[:, 1]) == pytest.approx(length)


def test_an_incisor_has_a_straight_edge_and_a_canine_a_tip_towards_the_midline():
    incisor = tooth_outline(INCISOR, width=8.5, length=10.5)
    canine = tooth_outline(CANINE, width=7.5, length=10.0)
    assert (incisor[:, 1] == 0).sum() >= 2
    tips = canine[canine[:, 1] < 1e-9]
    assert len(tips) == 1
    assert tips[0, 0] < 0


def test_strips_of_random_rims_hold_their_teeth_and_keep_their_length():
    """100 seeds; a sum of teeth longer than the rim is refused in words."""
    made = 0
    for seed in range(100):
        outline = outline_rim(random_plan(seed))
        try:
            strip = usual_strip(outline)
        except InputError:
            continue
        made += 1
        assert length_of(strip.unrolled.edge) == pytest.approx(strip.arc_length, abs=0.05), seed
        assert Polygon(strip.outline).is_valid, seed
        half = outline.labial_arc(0.0, outline.left.canine)
        at_line = strip.unrolled.place(np.array([half]), np.array([0.0]))[0]
        assert strip.marks["canine_left"][0] == pytest.approx(at_line, abs=0.02), seed
    assert made > 90
