"""Hinge geometry: what an opening is elsewhere, and what the rims give or take."""

import pytest
from hypothesis import given
from hypothesis import strategies as some

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance
from labcases.prosthodontics.vertical import (
    HINGE_DISTANCES,
    change_at,
    opening_angle,
    pin_change,
    rim_changes,
    rim_changes_beside,
)
from labcases.prosthodontics.vertical.hinge import DISTANCE_SOURCE, PIN_DISTANCES_INCHES


def test_an_incisor_opening_of_3_mm_has_the_derived_angle_and_molar_opening():
    """Derived: a = 88 mm: 1.953 degrees; at 50 mm 1.705 mm."""
    assert opening_angle(3, distance=88) == pytest.approx(1.953, abs=0.0005)
    assert change_at(50, gap=3, gap_distance=88) == pytest.approx(1.705, abs=0.0005)


@pytest.mark.parametrize(("pin", "incisor", "molar"), [(1.5, 1.0, 0.5), (1.0, 0.67, 0.33), (0.5, 0.33, 0.17)])
def test_the_pin_the_incisors_and_the_molars_open_as_three_to_two_to_one(pin, incisor, molar):
    """Kaiser DA, Schelb E, J Prosthet Dent (seen), at 6, 4 and 2 inches."""
    far, middle, near = PIN_DISTANCES_INCHES
    inch = 25.4
    assert pin_change(pin, pin_distance=far * inch, distance=middle * inch) == pytest.approx(
        incisor, abs=0.005
    )
    assert pin_change(pin, pin_distance=far * inch, distance=near * inch) == pytest.approx(molar, abs=0.005)


def test_a_molar_rim_that_is_too_high_opens_the_incisors_by_more():
    """Derived: 1 mm at 50 mm is 1.8 mm at 90 mm."""
    assert change_at(90, gap=1, gap_distance=50) == pytest.approx(1.8, abs=0.0005)


def test_too_little_freeway_space_is_taken_off_the_lower_rim():
    """Derived: VDR 68.0, VDO 66.5, wanted 3.0: 1.5 mm off at the incisors, 0.85 mm at the molars."""
    changes = {change.region: change for change in rim_changes(freeway=1.5, wanted=3.0)}
    assert changes["incisor"].lower == pytest.approx(-1.5)
    assert changes["molar"].lower == pytest.approx(-1.5 * 50 / 88, abs=0.001)
    assert all(change.upper == 0 for change in changes.values())


def test_the_change_fades_from_the_incisors_to_the_molars():
    amounts = [change.lower for change in rim_changes(freeway=5, wanted=3)]
    assert amounts == sorted(amounts, reverse=True)
    assert amounts[0] == pytest.approx(2)


def test_the_prescriber_may_give_a_share_to_the_upper_rim():
    change = rim_changes(freeway=1, wanted=3, upper_share=0.25)[0]
    assert (change.upper, change.lower) == (pytest.approx(-0.5), pytest.approx(-1.5))


def test_distances_of_this_patients_articulator_go_before_the_delivered_ones():
    changes = rim_changes(freeway=1, wanted=3, distances={"incisor": 100, "molar": 60})
    assert [change.region for change in changes] == ["incisor", "molar"]
    assert changes[1].lower == pytest.approx(-1.2, abs=0.001)


def test_the_delivered_distances_are_marked_as_from_memory():
    assert DISTANCE_SOURCE.provenance is Provenance.MEMORY
    assert HINGE_DISTANCES["incisor"] == 88.0


@given(gap=some.floats(-20, 20), near=some.floats(20, 80), far=some.floats(81, 150))
def test_openings_grow_with_the_distance_and_go_back_to_where_they_came_from(gap, near, far):
    there = change_at(near, gap=gap, gap_distance=far)
    assert abs(there) <= abs(gap)
    assert change_at(far, gap=there, gap_distance=near) == pytest.approx(gap, abs=1e-9)


@given(gap=some.floats(-3, 3))
def test_small_openings_follow_the_ratio_of_the_distances(gap):
    assert change_at(50, gap=gap, gap_distance=88) == pytest.approx(gap * 50 / 88, abs=0.002)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: opening_angle(3, distance=1), "distance"),
        (lambda: opening_angle(95, distance=88), "gap"),
        (lambda: rim_changes(freeway=1, wanted=3, upper_share=2), "upper_share"),
        (lambda: rim_changes(freeway=1, wanted=3, distances={"molar": 50}), "distances"),
        (lambda: pin_change(1, pin_distance=float("nan"), distance=50), "distance"),
    ],
)
def test_what_no_hinge_does_is_refused_by_name(call, named):
    with pytest.raises(InputError) as refusal:
        call()
    assert refusal.value.field == named


def test_what_the_upper_rim_takes_for_itself_the_lower_one_does_not():
    """VDR 68.0, VDO 66.5, wanted 3.0: 1.5 mm off at the incisors in all (derived)."""
    changes = {each.region: each for each in rim_changes_beside(freeway=1.5, wanted=3.0, upper=-1.0)}
    assert changes["incisor"].upper == pytest.approx(-1.0)
    assert changes["incisor"].lower == pytest.approx(-0.5)
    alone = {each.region: each for each in rim_changes(freeway=1.5, wanted=3.0)}
    assert changes["molar"].upper + changes["molar"].lower == pytest.approx(alone["molar"].lower, abs=1e-3)
