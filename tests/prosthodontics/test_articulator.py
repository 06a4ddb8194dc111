"""Articulator settings against published and derived figures."""

from math import cos, degrees, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as some
from scipy.optimize import fsolve

from labcases.prosthodontics.articulator import (
    BALKWILL_ANGLE,
    BONWILL_SIDE,
    HINGE_POINTS,
    MONSON_RADIUS,
    MONSON_SOURCE,
    USUAL_SETTINGS,
    bonwill_height,
    christensen_angle,
    condylar_path,
    gap_at,
    incisal_guide_angle,
    lateral_setting,
)
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance


@pytest.mark.parametrize(
    ("horizontal", "lateral"), [(0, 12), (20, 14.5), (30, 15.75), (33, 16.125), (40, 17)]
)
def test_the_lateral_setting_is_an_eighth_of_the_horizontal_one_and_twelve(horizontal, lateral):
    """Hanau RL 1930, seen in abstracts: L = H/8 + 12; figures derived."""
    assert lateral_setting(horizontal) == lateral


CHRISTENSEN = [
    (30, 12, 2.066),
    (30, 18, 2.005),
    (30, 22, 1.978),
    (30, 26, 1.961),
    (40, 22, 2.661),
    (20, 22, 1.337),
    (10, 12, 0.679),
    (10, 26, 0.704),
    (0, 22, 0.0),
]


@pytest.mark.parametrize(("path", "balkwill", "angle"), CHRISTENSEN)
def test_the_rims_part_by_the_derived_christensen_angle(path, balkwill, angle):
    """Christensen FT, J Prosthet Dent, formula II in its derived form, a = 88, p = 6."""
    found = christensen_angle(path, protrusion=6, height=88, balkwill=balkwill)
    assert found == pytest.approx(angle, abs=0.0005)


@pytest.mark.parametrize(("path", "balkwill", "angle"), CHRISTENSEN)
def test_the_christensen_angle_follows_from_moving_the_jaw_itself(path, balkwill, angle):
    """Independent of the formula: condyle and incisal point are moved along their paths and the turn is read."""
    a, p, r, f = 88.0, 6.0, radians(path), radians(balkwill)

    def misfit(unknown):
        along_path, turn = unknown
        condyle = (-a * cos(f) + along_path * cos(r), a * sin(f) - along_path * sin(r))
        from_incisor = (condyle[0] - p, condyle[1])
        return (from_incisor[0] + a * cos(f - turn), from_incisor[1] - a * sin(f - turn))

    _, turn = fsolve(misfit, (p, 0.02), xtol=1e-13)
    assert degrees(turn) == pytest.approx(angle, abs=0.0006)


def test_the_gap_45_mm_behind_the_incisal_point():
    """Derived: 45·tan 1.978° = 1.55 mm."""
    angle = christensen_angle(30, protrusion=6, height=88, balkwill=22)
    assert gap_at(angle, distance=45) == pytest.approx(1.55, abs=0.005)


@given(path=some.floats(1, 60), protrusion=some.floats(2, 10), balkwill=some.floats(10, 30))
def test_the_condylar_path_is_found_back_from_the_gap_that_it_makes(path, protrusion, balkwill):
    angle = christensen_angle(path, protrusion=protrusion, height=88, balkwill=balkwill)
    gap = gap_at(angle, distance=45)
    found = condylar_path(gap, distance=45, protrusion=protrusion, height=88, balkwill=balkwill)
    assert found == pytest.approx(path, abs=1e-6)


@given(path=some.floats(1, 60), steeper=some.floats(0.5, 10))
def test_a_steeper_path_parts_the_rims_further(path, steeper):
    flat = christensen_angle(path, protrusion=6, height=88)
    assert christensen_angle(path + steeper, protrusion=6, height=88) > flat


def test_the_incisal_guide_angle_follows_from_overbite_and_overjet():
    """Derived: atan(1/2) = 26.57 degrees."""
    assert incisal_guide_angle(1, 2) == pytest.approx(26.57, abs=0.005)
    assert incisal_guide_angle(1, 0) == 90
    assert incisal_guide_angle(0, 0) == 0


def test_the_triangle_of_condyles_and_incisal_point_is_as_high_as_derived():
    """Derived: equilateral with 4 in 87.988 mm; 103.3 and 99.6 (CBCT study, n = 120, seen) 90.503 mm."""
    assert bonwill_height(BONWILL_SIDE, BONWILL_SIDE) == pytest.approx(87.988, abs=0.0005)
    assert bonwill_height(103.3, 99.6) == pytest.approx(90.503, abs=0.0005)


def test_the_stored_averages_are_those_of_their_sources():
    """Bonwill 4 in (seen); Monson 4 in (recalled); Balkwill 22 within 18 to 26 by author (seen)."""
    assert BONWILL_SIDE == MONSON_RADIUS == pytest.approx(4 * 25.4)
    assert MONSON_SOURCE.provenance is Provenance.RECALLED
    assert BALKWILL_ANGLE == 22


def test_the_usual_settings_are_marked_as_common_practice():
    assert {setting.name: setting.value for setting in USUAL_SETTINGS} == {
        "condylar": 30,
        "lateral": 15,
        "incisal": 10,
    }
    assert {setting.source.provenance for setting in USUAL_SETTINGS} == {Provenance.COMMON}


def test_the_hinge_axis_points_carry_their_place_and_their_class():
    """Definitions recalled: Beyron, Bergstrom, Gysi; agreement seen in Simpson and others 1984."""
    places = {point.name: point.where for point in HINGE_POINTS}
    assert places["Beyron"].startswith("13 mm in front")
    assert "7 mm below" in places["Bergstrom"]
    assert all(point.source.provenance is Provenance.RECALLED for point in HINGE_POINTS)


def test_a_protrusion_that_the_joint_can_not_make_is_refused():
    with pytest.raises(InputError, match="path"):
        christensen_angle(80, protrusion=20, height=50, balkwill=0)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: lateral_setting(-1), "horizontal"),
        (lambda: christensen_angle(30, protrusion=-1, height=88), "protrusion"),
        (lambda: christensen_angle(30, protrusion=6, height=float("nan")), "height"),
        (lambda: condylar_path(19, distance=45, protrusion=1, height=88), "gap"),
        (lambda: bonwill_height(50, 120), "base"),
        (lambda: incisal_guide_angle(-1, 2), "overbite"),
    ],
)
def test_impossible_settings_are_refused_by_name(call, named):
    with pytest.raises(InputError) as refusal:
        call()
    assert refusal.value.field == named
