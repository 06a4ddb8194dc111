"""From cast measurements to the arch form of the crest."""

import numpy as np
import pytest

from labcases.prosthodontics.arch import CastMeasurements, SideMeasurements, arch_from_cast, beta
from labcases.prosthodontics.errors import InputError


def lopsided(**changes):
    left = {"half_width": 25, "depth": 46, "canine_half_width": 16, "canine_depth": 10}
    right = {"half_width": 23, "depth": 44, "canine_half_width": 15, "canine_depth": 11} | changes
    return CastMeasurements(arch="maxillary", left=SideMeasurements(**left), right=SideMeasurements(**right))


def test_the_beta_curve_runs_through_the_canine_points_of_each_side():
    cast = lopsided()
    arch = arch_from_cast(cast)
    apex = arch.y(0)
    assert apex - arch.y(16) == pytest.approx(10)
    assert apex - arch.y(-15) == pytest.approx(11)
    assert arch.left.exponent != pytest.approx(arch.right.exponent, abs=0.01)


def test_each_side_ends_at_its_own_posterior_landmark():
    arch = arch_from_cast(lopsided())
    assert arch.y(25) == pytest.approx(0, abs=1e-9)
    assert arch.y(-23) == pytest.approx(2, abs=1e-9)


def test_two_unlike_sides_meet_smoothly_at_the_midline():
    arch = arch_from_cast(lopsided())
    for s in (-1e-6, 0.0, 1e-6):
        assert arch.point_at(s) == pytest.approx((0, 46), abs=1e-5)
        assert arch.tangent_at(s) == pytest.approx((1, 0), abs=1e-5)


def test_without_a_canine_depth_the_published_exponent_is_used():
    """Exponent 0.8: Braun and others, Angle Orthod 1998;68:29-36 (recalled)."""
    cast = CastMeasurements.symmetric("mandibular", posterior_width=60, depth=45, canine_width=34)
    assert arch_from_cast(cast).y(10) == pytest.approx(40.953, abs=0.0005)


def test_an_exponent_that_is_given_goes_before_the_canine_points():
    assert arch_from_cast(lopsided(), exponent=0.9).left.exponent == 0.9


def test_the_correction_adds_one_millimetre_of_width_and_one_and_a_half_of_depth():
    """Noroozi and others, Angle Orthod 2001;71:386-389 (seen); y(20) = 29.659 derived."""
    cast = CastMeasurements.symmetric("maxillary", posterior_width=60, depth=45)
    assert arch_from_cast(cast, corrected=True).y(20) == pytest.approx(29.659, abs=0.0005)
    assert arch_from_cast(cast).y(20) == pytest.approx(28.119, abs=0.0005)


@pytest.mark.parametrize("model", ["beta", "parabola", "ellipse", "catenary", "sixth_order"])
def test_every_model_takes_unlike_sides_and_keeps_the_midline_smooth(model):
    arch = arch_from_cast(lopsided(), model=model)
    assert arch.tangent_at(0.0) == pytest.approx((1, 0))
    assert arch.y(25) == pytest.approx(0, abs=1e-6)
    assert arch.y(-23) == pytest.approx(2, abs=1e-6)


def test_a_symmetric_cast_gives_a_mirrored_arch():
    cast = CastMeasurements.symmetric(
        "maxillary", posterior_width=48, depth=46, canine_width=32, canine_depth=10
    )
    arch = arch_from_cast(cast)
    s = np.linspace(0, 50, 40)
    left, _, _ = arch.trace(s)
    right, _, _ = arch.trace(-s)
    assert left * [-1, 1] == pytest.approx(right, abs=1e-9)


@pytest.mark.parametrize(
    ("changes", "named", "model"),
    [
        ({"canine_depth": 1}, "canine_depth_right", "beta"),
        ({"canine_depth": 43}, "canine_depth_right", "beta"),
        ({"canine_half_width": 24}, "canine_half_width_right", "beta"),
        ({"half_width": 5}, "half_width_right", "beta"),
        ({"depth": 200}, "depth_right", "catenary"),
        ({"canine_depth": None}, "canine_depth_right", "sixth_order"),
        ({}, "model", "hyperbola"),
    ],
)
def test_points_that_belong_to_no_arch_are_named_with_their_side(changes, named, model):
    with pytest.raises(InputError) as refusal:
        arch_from_cast(lopsided(**changes), model=model)
    assert refusal.value.field == named


def test_a_refused_canine_depth_says_what_would_fit():
    cast = CastMeasurements.symmetric(
        "maxillary", posterior_width=48, depth=46, canine_width=34, canine_depth=3
    )
    with pytest.raises(InputError, match=r"\d+\.\d to \d+\.\d mm with these widths"):
        arch_from_cast(cast)


def test_the_beta_model_and_the_ready_curve_are_the_same_curve():
    cast = CastMeasurements.symmetric("maxillary", posterior_width=60, depth=45)
    assert arch_from_cast(cast).y(17.3) == beta(60, 45).y(17.3)
