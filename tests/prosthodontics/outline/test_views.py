"""Views, section and volume of a rim."""

import numpy as np
import pytest
from shapely.geometry import Polygon

from labcases.prosthodontics.materials.wax import wax_mass
from labcases.prosthodontics.outline import (
    CrestHeights,
    front_view,
    on_paper,
    outline_rim,
    rim_volume,
    section,
    side_view,
)
from tests.prosthodontics.outline.rims import usual_plan


def test_the_section_at_the_midline_leans_by_the_chosen_inclination():
    cut = section(outline_rim(usual_plan(labial_inclination=100)), 0.0)
    (edge, _), (foot, height) = cut.outline[0], cut.outline[1]
    assert cut.inclination == pytest.approx(100)
    assert np.degrees(np.arctan((edge - foot) / height)) == pytest.approx(10)
    assert height == 10


def test_the_section_is_as_wide_as_the_occlusal_surface_and_upright_at_the_molars():
    outline = outline_rim(usual_plan())
    cut = section(outline, outline.left.molar)
    assert cut.inclination == pytest.approx(90)
    assert np.ptp(cut.outline[:, 0]) == pytest.approx(10)


def test_the_section_shows_where_the_crest_lies():
    outline = outline_rim(usual_plan())
    assert section(outline, 0.0).crest == pytest.approx((-outline.plan.shift, 10))
    assert section(outline, outline.left.canine).crest[0] == pytest.approx(0)


def test_the_side_view_shows_the_end_slope_at_its_angle_and_the_face_at_its_inclination():
    outline = outline_rim(usual_plan(posterior_end_angle=45, labial_inclination=100))
    view = side_view(outline, "left")
    front, back = view.occlusal
    assert front == pytest.approx((outline.station("midline").labial[1], 0))
    run = view.end_slope[1] - view.end_slope[0]
    assert np.degrees(np.arctan2(run[1], -run[0])) == pytest.approx(45, abs=1.0)
    assert back[0] < front[0]
    foot = view.outline[2]
    assert foot[0] == pytest.approx(front[0] - 10 * np.tan(np.radians(10)))


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_side_view_is_a_simple_closed_shape_with_the_heights_of_its_side(side):
    heights = CrestHeights(anterior=10, posterior_left=8, posterior_right=6)
    view = side_view(outline_rim(usual_plan(heights=heights)), side)
    assert Polygon(view.outline).is_valid
    assert view.end_slope[1][1] == pytest.approx(8 if side == "left" else 6)
    assert (view.outline[0] == view.outline[-1]).all()


def test_the_front_view_reaches_from_side_to_side_and_holds_the_canine_lines():
    outline = outline_rim(usual_plan())
    view = front_view(outline)
    assert Polygon(view.outline).is_valid
    assert view.occlusal[:, 0] == pytest.approx([outline.labial[:, 0].min(), outline.labial[:, 0].max()])
    assert view.midline[0] == pytest.approx((0, 0), abs=1e-9)
    assert view.canine_left[0][0] == pytest.approx(outline.station("canine_left").labial[0])
    assert view.canine_right[0][0] == pytest.approx(-view.canine_left[0][0])


def test_on_paper_the_patients_right_is_on_the_left_and_the_lower_front_points_down():
    points = np.array([[-20.0, 5.0], [0.0, 46.0]])
    assert on_paper(points, "maxillary").tolist() == [[-20.0, -5.0], [0.0, -46.0]]
    assert on_paper(points, "mandibular").tolist() == [[-20.0, 5.0], [0.0, 46.0]]


def test_the_volume_of_an_upright_rim_with_upright_ends_is_area_times_height():
    even = CrestHeights(anterior=9, posterior_left=9, posterior_right=9)
    outline = outline_rim(usual_plan(labial_inclination=90, posterior_end_angle=90, heights=even))
    assert rim_volume(outline) == pytest.approx(outline.area * 9, rel=0.0005)


def test_a_leaning_face_takes_away_the_wedge_behind_it():
    """Wedge of the front: about (canine arc at half depth)·h²·tan(10°)/2, shrinking behind the canine lines."""
    upright = rim_volume(outline_rim(usual_plan(labial_inclination=90)))
    leaning = rim_volume(outline_rim(usual_plan(labial_inclination=100)))
    front = outline_rim(usual_plan()).arc_between_canine_lines * 10**2 * np.tan(np.radians(10)) / 2
    assert 0.9 * front < upright - leaning < 1.8 * front


def test_the_sloped_ends_add_a_triangle_each_beyond_the_occlusal_surface():
    """Derived: half of width × height × run, for a straight end."""
    even = CrestHeights(anterior=8, posterior_left=8, posterior_right=8)
    blunt = outline_rim(usual_plan(posterior_end_angle=90, end_clearance=10, heights=even))
    sloped = outline_rim(usual_plan(posterior_end_angle=45, end_clearance=2, heights=even))
    assert rim_volume(sloped) - rim_volume(blunt) == pytest.approx(2 * 0.5 * 10 * 8 * 8, rel=0.05)


def test_a_usual_rim_weighs_what_a_usual_rim_weighs():
    """0.92 g/cm³, from memory, unverified."""
    assert 5 < wax_mass(rim_volume(outline_rim(usual_plan()))) < 12
