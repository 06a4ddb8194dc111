"""Planes through rim points and checks across readings, against derived figures."""

import numpy as np
import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.plane import (
    PLANE_EVIDENCE,
    asymmetry,
    drift,
    edge_below_papilla,
    face_length,
    posterior_height_on_plane,
    rim_plane,
    rims_against_space,
    rise,
    sagitta,
)


def test_a_plane_that_drops_in_front_has_a_sagittal_angle_and_no_cant():
    """Derived: (±25, −45, 0) and (0, 0, −1.57): 2.00 degrees, cant 0."""
    plane = rim_plane([(25, -45, 0), (-25, -45, 0), (0, 0, -1.57)])
    assert plane.pitch == pytest.approx(2.00, abs=0.005)
    assert plane.cant == pytest.approx(0, abs=1e-9)
    assert plane.residual == pytest.approx(0, abs=1e-9)


def test_a_plane_that_drops_on_the_left_has_a_cant():
    """Derived: 1 mm over 50 mm is 1.146 degrees."""
    plane = rim_plane([(25, -45, -1), (-25, -45, 0), (0, 0, -0.5)])
    assert plane.cant == pytest.approx(1.146, abs=0.0005)
    assert plane.pitch == pytest.approx(0, abs=1e-9)
    assert "patient's left lies lower by 1.1 degrees" in plane.words


def test_the_order_of_the_points_does_not_matter():
    points = [(25, -45, 0.3), (-25, -45, -0.2), (2, 0, -1.4)]
    assert rim_plane(points).pitch == pytest.approx(rim_plane(points[::-1]).pitch)
    assert rim_plane(points).cant == pytest.approx(rim_plane(points[::-1]).cant)


def test_many_points_give_the_closest_plane_and_how_far_the_worst_lies_from_it():
    random = np.random.default_rng(5)
    flat = random.uniform(-25, 25, (40, 2))
    z = -np.tan(np.radians(3)) * flat[:, 1] - np.tan(np.radians(1)) * flat[:, 0]
    plane = rim_plane(np.column_stack([flat, z + random.normal(0, 0.02, 40)]).tolist())
    assert plane.pitch == pytest.approx(3, abs=0.1)
    assert plane.cant == pytest.approx(1, abs=0.1)
    assert 0.01 < plane.residual < 0.1


@pytest.mark.parametrize(
    "points",
    [
        [(0, 0, 0), (1, 1, 1)],
        [(0, 0, 0), (1, 1, 1), (2, 2, 2)],
        [(0, 0, 0), (0, 1, 0), (0, 0, 1)],
        [(0, 0, 0), (0, 1, float("nan")), (0, 0, 1)],
    ],
)
def test_points_that_span_no_rim_are_refused(points):
    with pytest.raises(InputError, match="points"):
        rim_plane(points)


def test_a_difference_between_left_and_right_makes_a_cant():
    """Derived: 1 mm over 50 mm, 1.146 degrees."""
    found = asymmetry(19, 18, between=50)
    assert found.cant == pytest.approx(1.146, abs=0.0005)
    assert found.words == "The left is higher by 1.00 mm (1.15 degrees)."


def test_a_small_difference_is_said_to_be_no_more_than_the_readings_scatter():
    assert "no more than the readings" in asymmetry(19.2, 19, between=50, u_left=0.1, u_right=0.1).words
    assert "no more" not in asymmetry(19.4, 19, between=50, u_left=0.1, u_right=0.1).words


def test_left_and_right_swap_the_sign_and_nothing_else():
    assert asymmetry(18, 19, between=50).difference == -asymmetry(19, 18, between=50).difference


def test_both_rims_are_set_against_the_space_between_the_sulci():
    """Derived: 22 and 18 make 40 from sulcus to sulcus."""
    assert rims_against_space(22, 18, intersulcus_distance=40).spare == 0
    short = rims_against_space(22, 18, intersulcus_distance=42, u=[0.1, 0.1, 0.2])
    assert short.spare == 2
    assert short.u == pytest.approx(np.sqrt(0.06))
    assert "2.00 mm short of" in short.words
    assert "more than" in rims_against_space(22, 20, intersulcus_distance=40).words


@pytest.mark.parametrize(("inclination", "length"), [(90, 22.0), (105, 22.776), (75, 22.776)])
def test_length_along_the_face_is_the_vertical_height_over_the_sine(inclination, length):
    """Derived: 22 / sin 75° = 22.776."""
    assert face_length(22, inclination=inclination) == pytest.approx(length, abs=0.0005)


@pytest.mark.parametrize(("tilt", "change"), [(2, 1.57), (5, 3.94), (7, 5.53)])
def test_a_tilted_plane_changes_height_over_45_mm(tilt, change):
    """Derived: 45·tan of 2, 5 and 7 degrees."""
    assert rise(45, tilt=tilt) == pytest.approx(change, abs=0.005)


@pytest.mark.parametrize(("cant", "change"), [(1, 0.87), (2, 1.75), (3, 2.62)])
def test_a_cant_changes_height_over_50_mm(cant, change):
    """Derived: 50·tan of 1, 2 and 3 degrees."""
    assert rise(50, tilt=cant) == pytest.approx(change, abs=0.005)


def test_the_edge_lies_lower_below_the_papilla_on_a_tilted_plane():
    """Derived: 9.6 mm at 5 degrees adds 0.84 mm."""
    assert edge_below_papilla(6.7, labial_distance=9.6, tilt=5) - 6.7 == pytest.approx(0.84, abs=0.005)


def test_the_height_behind_follows_from_the_one_in_front_and_the_tilt():
    """Derived: 22 − 45·tan 5° = 18.06."""
    assert posterior_height_on_plane(22, distance=45, tilt=5) == pytest.approx(18.06, abs=0.005)


@pytest.mark.parametrize(
    ("radius", "chord", "depth"), [(101.6, 40, 1.988), (101.6, 30, 1.113), (105, 40, 1.922), (100, 40, 2.020)]
)
def test_the_compensating_curve_has_the_derived_depth(radius, chord, depth):
    """Monson's sphere, 4 in (recalled); Ferrario and others, Arch Oral Biol 1997 (seen): 105 and 100 mm."""
    assert sagitta(radius, chord) == pytest.approx(depth, abs=0.0005)


def test_a_chord_longer_than_the_sphere_is_wide_is_refused():
    with pytest.raises(InputError, match="chord"):
        sagitta(50, 101)


def test_a_change_between_stages_is_flagged_when_the_readings_do_not_explain_it():
    """Derived: d = 0.3, U = 0.18 twice gives E_n = 1.18; E_n by ISO/IEC 17043 (recalled)."""
    change = drift(22.0, 22.3, expanded_earlier=0.18, expanded_later=0.18)
    assert change.e_n == pytest.approx(1.18, abs=0.005)
    assert not change.consistent
    assert "more than the readings explain" in change.words
    assert drift(22.0, 22.2, expanded_earlier=0.18, expanded_later=0.18).consistent


def test_a_change_without_any_uncertainty_can_not_be_judged():
    with pytest.raises(InputError, match="uncertainty"):
        drift(22, 23, expanded_earlier=0, expanded_later=0)


def test_published_angles_of_the_plane_are_stored_with_their_class():
    """Rostamkhani and others 2005, Kumar and others 2013 (seen); Lundquist and Luther 1970 (recalled)."""
    classes = {source.citation.split(" ")[0]: source.provenance.value for _, _, source in PLANE_EVIDENCE}
    assert classes == {"Rostamkhani": "S", "J": "S", "Kumar": "S", "Lundquist": "R", "Shah": "S"}
    assert "5.65, 3.19 and 2.92 degrees" in PLANE_EVIDENCE[0][1]
