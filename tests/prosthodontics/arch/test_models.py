"""Arch forms against figures from outside: published where a source is named, derived where it says so."""

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad
from shapely.geometry import LineString

from labcases.prosthodontics.arch import beta, catenary, ellipse, parabola, sixth_order
from labcases.prosthodontics.errors import InputError

ALL_MODELS = {
    "beta": beta(60, 45),
    "beta, flared": beta(60, 45, exponent=1.2),
    "beta, square": beta(60, 45, exponent=0.4),
    "parabola": parabola(60, 45),
    "ellipse": ellipse(60, 45),
    "catenary": catenary(60, 45),
    "sixth order": sixth_order(60, 43, canine_width=35, canine_depth=9),
}
any_model = pytest.mark.parametrize("arch", ALL_MODELS.values(), ids=ALL_MODELS)


@pytest.mark.parametrize(
    ("x", "y"),
    [
        (0, 45.000),
        (5, 43.997),
        (10, 40.953),
        (15, 35.749),
        (20, 28.119),
        (25, 17.429),
        (28, 8.737),
        (30, 0.0),
    ],
)
def test_the_beta_curve_gives_the_heights_of_the_published_form(x, y):
    """Braun and others, Angle Orthod 1998;68:29-36 (recalled), W = 60, D = 45; figures derived."""
    assert beta(60, 45).y(x) == pytest.approx(y, abs=0.0005)
    assert beta(60, 45).y(-x) == pytest.approx(y, abs=0.0005)


def test_the_constant_of_the_published_beta_curve_is_four_to_the_power_of_the_exponent():
    """3.0314 in Braun and others (recalled): y = 3.0314·D·((1/2 + x/W)(1/2 − x/W))^0.8 at x = 12."""
    product = (0.5 + 12 / 60) * (0.5 - 12 / 60)
    assert beta(60, 45).y(12) == pytest.approx(3.0314 * 45 * product**0.8, abs=0.001)


@pytest.mark.parametrize(("x", "y"), [(0, 31.59), (10, 28.54), (17.5, 21.96), (25, 10.58)])
def test_the_beta_curve_of_mean_first_molar_figures(x, y):
    """Mina M and others, Odontology 2017;105:229-236 (seen): W 57.92, D 31.59; heights derived."""
    assert beta(57.92, 31.59).y(x) == pytest.approx(y, abs=0.005)


def test_the_whole_beta_arch_is_as_long_as_derived():
    """Derived: 114.703 mm for W = 60, D = 45."""
    assert beta(60, 45).arc_length() == pytest.approx(114.703, abs=0.0005)


def test_a_front_arc_of_46_mm_sits_on_a_chord_of_35_5_mm():
    """Derived: half-chord 17.757, y 31.869, sagitta 13.131."""
    arch = beta(60, 45)
    x, y = arch.point_at(23)
    assert arch.chord_holding(46) == pytest.approx(35.513, abs=0.0005)
    assert (x, y) == pytest.approx((17.757, 31.869), abs=0.0005)
    assert arch.depth - y == pytest.approx(13.131, abs=0.0005)


def test_the_catenary_finds_its_constant_and_length():
    """Derived: half width 28, depth 45 gives a = 12.79357 and a half-arc a·sinh(28/a) = 56.360."""
    arch = catenary(56, 45)
    assert arch.left.constant == pytest.approx(12.79357, abs=0.00001)
    assert arch.side_length("left") == pytest.approx(56.360, abs=0.0005)


def test_the_sixth_order_polynomial_runs_through_canine_and_molar():
    """Noroozi and others, Angle Orthod 2001;71:386-389 (abstract seen); A, B and Y(10) derived."""
    arch = sixth_order(60, 43, canine_width=35, canine_depth=9)
    assert arch.left.second == pytest.approx(0.0269795, abs=1e-7)
    assert arch.left.sixth == pytest.approx(2.567682e-8, abs=1e-14)
    assert 43 - arch.y(10) == pytest.approx(2.7236, abs=0.00005)
    assert 43 - arch.y(17.5) == pytest.approx(9)


def test_the_parabola_and_the_ellipse_are_what_they_are_called():
    """Closed forms: y = D − 4D/W²·x², and (x/30)² + (y/45)² = 1."""
    assert parabola(60, 45).y(12) == pytest.approx(45 - 4 * 45 / 60**2 * 12**2)
    assert (12 / 30) ** 2 + (ellipse(60, 45).y(12) / 45) ** 2 == pytest.approx(1)


def test_the_length_of_the_parabola_agrees_with_its_closed_form():
    """Half-arc of drop = p·x²: x/2·√(1 + 4p²x²) + asinh(2px)/(4p)."""
    p, x = 45 / 30**2, 30.0
    closed = x / 2 * np.sqrt(1 + (2 * p * x) ** 2) + np.arcsinh(2 * p * x) / (4 * p)
    assert parabola(60, 45).side_length("left") == pytest.approx(closed, abs=1e-8)


@any_model
def test_arc_length_agrees_with_scipy_quadrature(arch):
    """scipy.integrate.quad over x, up to where the slope is still finite."""

    def speed(x):
        step = 1e-6
        return np.hypot(1, (arch.y(x + step) - arch.y(x - step)) / (2 * step))

    independent, _ = quad(speed, 1e-5, 27.0, limit=200)
    assert arch.arc_length_to(27.0) == pytest.approx(independent, abs=1e-3)


@any_model
def test_arc_length_agrees_with_a_fine_shapely_line(arch):
    s = np.linspace(-arch.side_length("right"), arch.side_length("left"), 20001)
    points, _, _ = arch.trace(s)
    assert LineString(points).length == pytest.approx(arch.arc_length(), abs=0.002)


@any_model
def test_the_arch_is_even_falls_to_both_sides_and_ends_on_its_base_line(arch):
    xs = np.linspace(0, 30, 61)
    heights = [arch.y(x) for x in xs]
    assert heights == pytest.approx([arch.y(-x) for x in xs])
    assert heights[0] == pytest.approx(arch.depth)
    assert heights[-1] == pytest.approx(0, abs=1e-9)
    assert all(a > b for a, b in pairwise(heights))


@any_model
def test_the_arch_is_longer_than_two_straight_sides_and_shorter_than_its_frame(arch):
    """Derived bounds: 2·√(D² + (W/2)²) and W + 2D."""
    assert 2 * np.hypot(arch.depth, 30) < arch.arc_length() < 60 + 2 * arch.depth


@any_model
def test_going_along_by_an_arc_and_measuring_it_gives_that_arc(arch):
    for s in (-50.0, -20.0, -1.0, 0.0, 3.5, 23.0, 52.0):
        x, y = arch.point_at(s)
        assert arch.arc_length_to(x) == pytest.approx(s, abs=1e-6)
        assert arch.y(x) == pytest.approx(y, abs=1e-6)


@any_model
def test_tangent_normal_and_curvature_agree_with_small_steps_along_the_arch(arch):
    h = 1e-3
    for s in (-40.0, -12.0, 0.5, 8.0, 30.0):
        before, here, after = (np.array(arch.point_at(s + step)) for step in (-h, 0.0, h))
        tangent = (after - before) / (2 * h)
        bend = (after - 2 * here + before) / h**2
        assert arch.tangent_at(s) == pytest.approx(tangent, abs=1e-4)
        assert np.dot(arch.tangent_at(s), arch.normal_at(s)) == pytest.approx(0, abs=1e-12)
        assert arch.curvature_at(s) == pytest.approx(-bend @ np.array(arch.normal_at(s)), abs=1e-3)


@any_model
def test_the_normal_points_towards_lip_and_cheek(arch):
    assert arch.normal_at(0.0) == pytest.approx((0, 1))
    assert arch.normal_at(40.0)[0] > 0
    assert arch.normal_at(-40.0)[0] < 0


@pytest.mark.parametrize(
    ("make", "named"),
    [
        (lambda: beta(60, 45).y(31), "x"),
        (lambda: beta(60, 45).y(float("nan")), "x"),
        (lambda: beta(60, 45).point_at(58), "s"),
        (lambda: beta(60, 45).chord_holding(120), "arc"),
        (lambda: beta(60, 45).chord_holding(0), "arc"),
        (lambda: beta(8, 45), "half_width"),
        (lambda: beta(60, 200), "depth"),
        (lambda: beta(60, 45, exponent=3), "exponent"),
        (lambda: beta(60, float("nan")), "depth"),
        (lambda: sixth_order(60, 43, canine_width=35, canine_depth=30), "canine_depth"),
        (lambda: sixth_order(60, 43, canine_width=62, canine_depth=9), "canine_half_width"),
    ],
)
def test_what_is_no_arch_is_refused_by_name(make, named):
    with pytest.raises(InputError) as refusal:
        make()
    assert refusal.value.field == named


def test_an_arch_that_runs_flat_into_its_base_line_is_followed_to_its_very_end():
    """Its last steps of arc are shorter than the next number above its length."""
    arch = beta(20, 45, exponent=1.5)
    half = arch.arc_length() / 2
    assert arch.point_at(half) == pytest.approx((10, 0), abs=1e-6)
    assert arch.point_at(half - 1e-9) == pytest.approx((10, 0), abs=1e-3)
