"""The rim's outline from above: what it measures, and what it refuses in words."""

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import LineString

from labcases.prosthodontics.arch import MODELS, CastMeasurements, SideMeasurements, arch_from_cast, beta
from labcases.prosthodontics.errors import InputError, LabCasesError
from labcases.prosthodontics.outline import (
    CrestHeights,
    ImpossibleRim,
    PapillaPoint,
    RimPlan,
    front_view,
    outline_rim,
    over_crest,
    rim_volume,
    section,
    side_view,
)
from tests.prosthodontics.outline.rims import usual_plan

# A pointed arch bends at its apex with a radius of about 5 mm.
POINTED = {
    "crest": beta(44, 50, exponent=1.0),
    "canine_left": 14,
    "canine_right": 14,
    "anterior_width": 12,
    "posterior_width": 12,
    "labial_offset": None,
}


def test_the_labial_face_stands_the_chosen_distance_in_front_of_the_papillas_centre():
    outline = outline_rim(usual_plan())
    assert outline.papilla == pytest.approx((0, 46 - 2))
    assert outline.station("midline").labial == pytest.approx((0, 44 + 8.5))


def test_the_same_distance_from_the_posterior_border_sets_the_face_further_back():
    """Centre to posterior border: 1.74 mm, derived from the Tabriz means."""
    centre = outline_rim(usual_plan()).station("midline").labial[1]
    behind = outline_rim(usual_plan(papilla_reference=PapillaPoint.POSTERIOR_BORDER))
    assert centre - behind.station("midline").labial[1] == pytest.approx(1.74)
    assert behind.papilla[1] == pytest.approx(44 - 1.74)


def test_without_an_offset_the_rim_is_centred_over_the_crest_everywhere():
    outline = outline_rim(usual_plan(labial_offset=None, arch="mandibular"))
    assert outline.papilla is None
    assert all(station.middle == pytest.approx(station.crest) for station in outline.stations)


def test_with_even_width_and_no_shift_the_outline_is_shapelys_own_band_around_the_crest():
    outline = outline_rim(usual_plan(labial_offset=None, posterior_width=8))
    s = np.linspace(-outline.right.table_end, outline.left.table_end, 4001)
    points, _, _ = outline.plan.crest.trace(s)
    band = LineString(points).buffer(4.0, cap_style="flat", quad_segs=64)
    assert outline.polygon.symmetric_difference(band).area < 0.002 * band.area
    assert outline.area == pytest.approx(band.area, rel=0.001)


def test_the_area_of_an_even_band_is_its_length_times_its_width():
    outline = outline_rim(usual_plan(labial_offset=None, posterior_width=8))
    length = outline.right.table_end + outline.left.table_end
    assert outline.area == pytest.approx(8 * length, rel=0.0005)


def test_eleven_stations_run_from_the_right_end_to_the_left_end():
    stations = outline_rim(usual_plan()).stations
    assert len(stations) == 11
    assert [station.name for station in stations][:2] == ["end_right", "molar_right"]
    assert [station.s for station in stations] == sorted(station.s for station in stations)


def test_the_canine_lines_stand_over_the_canine_eminences():
    outline = outline_rim(usual_plan())
    assert outline.station("canine_left").crest[0] == pytest.approx(16)
    assert outline.station("canine_right").crest[0] == pytest.approx(-16)


def test_the_arc_between_the_canine_lines_is_longer_than_the_straight_distance():
    outline = outline_rim(usual_plan())
    assert outline.arc_between_canine_lines > outline.chord_between_canine_lines > 32
    labial = outline.labial[np.abs(outline.frames.s) <= outline.left.canine + 1e-9]
    assert LineString(labial).length == pytest.approx(outline.arc_between_canine_lines, abs=0.5)


def test_the_occlusal_surface_ends_before_the_foot_by_the_height_over_the_slope():
    outline = outline_rim(usual_plan(posterior_end_angle=45))
    assert outline.left.foot - outline.left.table_end == pytest.approx(8)
    assert outline.left.foot == pytest.approx(outline.plan.crest.side_length("left") - 2)
    flat = outline_rim(usual_plan(posterior_end_angle=60))
    assert flat.left.foot - flat.left.table_end == pytest.approx(8 / np.tan(np.radians(60)))


def test_widths_grow_and_never_shrink_from_the_midline_backwards():
    widths = [station.width for station in outline_rim(usual_plan()).stations]
    assert widths == widths[::-1]
    assert widths[5:] == sorted(widths[5:])
    assert (widths[5], widths[-1]) == (8, 10)


@pytest.mark.parametrize(
    ("changes", "named", "words"),
    [
        (POINTED, "anterior_width", "inner edge folds back"),
        ({"posterior_width": 6}, "posterior_width", "never narrows"),
        ({"labial_offset": 25}, "labial_offset", "0 to 20 mm"),
        ({"labial_inclination": 150}, "labial_inclination", "60 to 135 degrees"),
        ({"labial_inclination": 130}, "labial_inclination", "no wax where the rim meets the base"),
        ({"posterior_end_angle": 12}, "posterior_end_angle", "occlusal surface behind"),
        ({"end_clearance": 25, "posterior_end_angle": 20}, "posterior_end_angle", "less clearance"),
        ({"canine_left": 30}, "canine_half_width_left", "on this crest"),
        ({"arch": "upper"}, "arch", "maxillary or mandibular"),
        ({"heights": CrestHeights(anterior=50)}, "anterior_over_crest", "1 to 35 mm"),
        ({"anterior_width": float("nan")}, "anterior_width", "1 to 20 mm"),
    ],
)
def test_an_impossible_combination_is_refused_in_words(changes, named, words):
    with pytest.raises(ImpossibleRim) as refusal:
        outline_rim(usual_plan(**changes))
    assert refusal.value.field == named
    assert words in str(refusal.value)
    assert isinstance(refusal.value, LabCasesError)


def test_the_widest_possible_width_that_a_refusal_names_is_about_right():
    with pytest.raises(ImpossibleRim) as refusal:
        outline_rim(usual_plan(**POINTED))
    widest = float(refusal.value.allowed.split("about ")[1].split(" mm")[0])
    assert 2 / POINTED["crest"].curvature_at(0.0) == pytest.approx(widest, rel=0.2)
    narrower = POINTED | {"anterior_width": 0.9 * widest}
    assert outline_rim(usual_plan(**narrower)).polygon.is_valid


def test_a_narrow_jaw_with_a_wide_rim_is_told_that_the_sides_meet():
    cast = CastMeasurements.symmetric("mandibular", posterior_width=22, depth=45, canine_width=14)
    plan = usual_plan(
        crest=arch_from_cast(cast, model="catenary"),
        labial_offset=None,
        canine_left=7,
        canine_right=7,
        anterior_width=3,
        posterior_width=24,
    )
    with pytest.raises(ImpossibleRim) as refusal:
        outline_rim(plan)
    assert refusal.value.field == "posterior_width"


def test_a_rim_in_front_of_the_ridge_is_pointed_out():
    outline = outline_rim(usual_plan(labial_offset=12, anterior_width=6, posterior_width=9))
    assert any("in front of the crest" in note for note in outline.notes)
    assert outline_rim(usual_plan()).notes == ()


def test_an_unusual_inclination_is_called_unusual_and_common_practice():
    notes = outline_rim(usual_plan(labial_inclination=85)).notes
    assert any("outside the usual range" in note and "common practice, no source" in note for note in notes)


def test_wax_over_the_crest_is_what_is_left_of_the_height_from_the_sulcus():
    assert over_crest(22, 12) == 10
    with pytest.raises(ImpossibleRim, match="sulcus_to_crest"):
        over_crest(22, 22)


@pytest.mark.parametrize("block", range(4))
def test_no_figures_within_reach_make_a_rim_crash_or_cross_itself(block):
    """300 combinations over the whole possible ranges: refused in words, or a valid rim with all its views."""
    made = 0
    for seed in range(75 * block, 75 * (block + 1)):
        try:
            outline = outline_rim(wild_plan(np.random.default_rng(seed)))
        except InputError as refusal:
            assert str(refusal).count("\n") == 0, seed  # noqa: PT017 - either outcome is fine
            continue
        made += 1
        assert outline.polygon.is_valid, seed
        assert rim_volume(outline) > 0, seed
        for view in (front_view(outline), side_view(outline, "left"), section(outline, 0.0)):
            assert np.isfinite(view.outline).all(), seed
    assert made >= 3


def wild_plan(random):
    def side():
        half = random.uniform(10, 50)
        return SideMeasurements(
            half_width=half, depth=random.uniform(10, 90), canine_half_width=half * random.uniform(0.2, 1)
        )

    cast = CastMeasurements(arch="maxillary", left=side(), right=side())
    anterior = random.uniform(1, 14)
    return RimPlan(
        arch="maxillary",
        crest=arch_from_cast(cast, model=str(random.choice([m for m in MODELS if m != "sixth_order"]))),
        anterior_width=anterior,
        posterior_width=anterior + random.uniform(-1, 8),
        canine_left=cast.left.canine_half_width,
        canine_right=cast.right.canine_half_width,
        labial_offset=random.uniform(0, 20),
        papilla_behind_crest=random.uniform(-5, 10),
        labial_inclination=random.uniform(80, 115),
        heights=heights(random),
        posterior_end_angle=random.uniform(10, 90),
        end_clearance=random.uniform(0, 10),
    )


def heights(random):
    anterior, left, right = random.uniform(1, 20, 3)
    return CrestHeights(anterior=anterior, posterior_left=left, posterior_right=right)


def test_a_rim_on_a_plain_beta_crest_needs_no_cast():
    plan = replace(usual_plan(), crest=beta(50, 46), canine_left=15, canine_right=15)
    assert outline_rim(plan).polygon.is_valid
