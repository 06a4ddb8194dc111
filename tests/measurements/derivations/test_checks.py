"""What several figures say together."""

import pytest

from labcases.measurements.derivations.checks import checks_block, plane_found_block, space_block
from labcases.prosthodontics.standard import Schools
from tests.measurements.derivations.made import (
    by_label,
    case,
    cast,
    lines,
    lower,
    measured,
    reading,
    upper,
)

ON_TARGET = {"anterior_height": "21", "posterior_height_left": "18", "posterior_height_right": "18"}


def checked(*readings, specified=None):
    found = case(*cast("maxillary"), *readings, specified=specified)
    return checks_block(found, upper(found))


def test_heights_on_target_leave_the_plane_as_specified():
    block = checked(*measured(**ON_TARGET))
    assert by_label(block, "Plane against the one specified, front").figure == "0.0"
    assert by_label(block, "Plane against the one specified, left").figure == "0.0"


def test_a_front_too_high_tips_an_upper_plane_down_in_front():
    """1 mm over the depth of the rim's stations: atan(1 / 33) is some 1.7 degrees."""
    block = checked(*measured(**{**ON_TARGET, "anterior_height": "22"}))
    line = by_label(block, "Plane against the one specified, front")
    assert float(line.figure) == pytest.approx(1.7, abs=0.3)
    assert "The front lies lower" in line.why
    assert float(line.spread) > 0


def test_a_front_too_high_tips_a_lower_plane_up_in_front():
    heights = {"anterior_height": "19", "posterior_height_left": "6", "posterior_height_right": "7"}
    found = case(*cast("mandibular"), *measured("mandibular", **heights))
    line = by_label(checks_block(found, lower(found)), "Plane against the one specified, front")
    assert line.figure.startswith("−")
    assert "The front lies higher" in line.why


def test_a_left_side_too_high_makes_a_cant():
    """1 mm between molar stations that lie some 45 mm apart."""
    block = checked(*measured(**{**ON_TARGET, "posterior_height_left": "19"}))
    assert float(by_label(block, "Plane against the one specified, left").figure) == pytest.approx(
        1.3, abs=0.3
    )


def test_two_heights_make_no_plane():
    two = {"anterior_height": "21", "posterior_height_left": "18"}
    assert not any(line.label.startswith("Plane") for line in checked(*measured(**two)).lines)


def test_left_and_right_are_held_against_each_other_on_the_upper_rim():
    """F13.9: 1 mm over 50 mm is 1.146 degrees (derived)."""
    line = by_label(checked(*measured(**{**ON_TARGET, "posterior_height_left": "19"})), "Left against right")
    assert line.figure == "1.0"
    assert "1.15 degrees" in line.why
    # √(0.1² + 0.1²) × 1.96
    assert line.spread == "0.3"


def test_two_pads_are_not_held_against_each_other():
    heights = {"posterior_height_left": "6", "posterior_height_right": "9"}
    found = case(*cast("mandibular"), *measured("mandibular", **heights))
    assert not any(each.label.startswith("Left") for each in checks_block(found, lower(found)).lines)


@pytest.mark.parametrize(("length", "words"), [("21.3", "no more than they scatter"), ("22.5", "more than")])
def test_the_face_is_as_long_as_its_height_and_slope_make_it(length, words):
    """21 mm at 100 degrees: 21 / sin 100° = 21.32 mm (derived)."""
    face = {"anterior_face_length": length, "anterior_height": "21", "labial_inclination": "100"}
    line = by_label(checked(*measured(**face)), "Labial face")
    assert words in line.why
    assert "21.3 mm" in line.why


@pytest.mark.parametrize(
    ("now", "e_n", "words"), [("22.3", "1.18", "more than"), ("22.1", "0.39", "no more")]
)
def test_a_dimension_taken_again_is_held_against_its_earlier_self(now, e_n, words):
    """F13.14: d = 0.3 with U = 0.18 for both gives E_n = 1.18 (derived; ISO/IEC 17043 recalled)."""
    before = reading("anterior_height", "22", arch="maxillary", u="0.09", kind="occlusion_rims")
    line = by_label(checked(before, *measured(u="0.09", anterior_height=now)), "Anterior height since")
    assert f"E_n {e_n}" in line.why
    assert words in line.why
    assert line.label == "Anterior height since occlusion rims"


def test_what_a_later_stage_took_is_no_earlier_self():
    later = reading("anterior_height", "25", arch="maxillary", u="0.1", stage=3, kind="jaw_relation")
    assert not any("since" in line.label for line in checked(*measured(anterior_height="22"), later).lines)


def test_without_a_known_uncertainty_no_change_is_told():
    before = reading("anterior_height", "22", arch="maxillary")
    assert checked(before, *measured(u="0", anterior_height="25")).lines == ()


def test_both_rims_are_held_against_the_space_between_the_sulci():
    """22 + 18 = 40 mm, sulcus to sulcus (derived from the teaching pair)."""
    space = reading("intersulcus_distance", "40", u="0.1")
    specified = lines("maxillary", anterior_height="22") + lines("mandibular")
    line = by_label(space_block(case(space, specified=specified)), "Space left")
    assert line.figure == "0.0"
    assert "upper rim as specified" in line.why
    made = measured("maxillary", anterior_height="23.5")
    line = by_label(space_block(case(space, *made, specified=specified)), "Space left")
    assert line.figure == "−1.5"
    assert "upper rim as measured" in line.why
    assert "more than the space" in line.why


def test_without_the_space_nothing_is_said():
    assert space_block(case()).is_empty


def test_a_plane_found_askew_is_told_in_millimetres_behind():
    """F5.2, F5.3: 2 degrees over 45 mm 1.57 mm, over 50 mm 1.75 mm (derived)."""
    found = case(
        reading("plane_pitch", "2", arch="maxillary"),
        reading("plane_cant", "-2", arch="maxillary"),
        reading("tuberosity_width", "50", arch="maxillary"),
        schools=Schools(tragus_point="inferior"),
    )
    block = plane_found_block(found, 45.0)
    assert by_label(block, "Plane as found, front").figure == "1.6"
    assert by_label(block, "Plane as found, left").figure == "−1.7"
    assert "right lower" in by_label(block, "Plane as found, left").why
    assert "inferior border" in block.remarks[0]
    assert plane_found_block(case(), 45.0).is_empty
