"""Lines as they are written into a drawing."""

import numpy as np
from shapely import LineString, Polygon

from labcases.tickets.drawing.marks import path
from tests.tickets.drawing.reading import places_of


def points_of(d: str) -> np.ndarray:
    return np.array(places_of(d))


def curve(corners: int) -> np.ndarray:
    turns = np.linspace(0, np.pi, corners)
    return np.column_stack([60 + 27 * np.cos(turns), 10 + 45 * np.sin(turns)])


def test_a_few_corners_are_all_written():
    corners = [(0, 0), (5, 0.001), (10, 0), (10, 4)]
    assert path(corners, closed=True, whole=True) == "M0 0L5 0.001L10 0L10 4Z"
    assert path(corners, closed=True) == "M0 0l5 0 5 0 0 4Z"


def test_steps_are_written_short_and_lead_to_each_corner():
    corners = [(12.5, 3), (12.25, 3.5), (12.24, 2.5), (-3.006, 0.07), (-3, 0.5)]
    written = path(corners)
    assert written == "M12.5 3l-.25 .5-.01-1-15.25-2.43 .01 .43"
    assert np.abs(points_of(written) - corners).max() <= 0.005 + 1e-9


def test_what_is_rounded_does_not_add_up_along_a_line():
    corners = [(step * 0.004, step * 0.0049) for step in range(11)]
    assert np.abs(points_of(path(corners)) - corners).max() <= 0.005 + 1e-9


def test_a_curve_is_written_with_the_corners_that_it_needs():
    given = curve(641)
    written = points_of(path(given))
    assert len(written) < 120
    # A hair, and half the diagonal of the hundredth to which each place is rounded.
    assert LineString(written).hausdorff_distance(LineString(given)) < 0.01 + 0.0071
    assert np.abs(written[[0, -1]] - given[[0, -1]]).max() <= 0.005 + 1e-9


def test_a_closed_outline_keeps_its_area():
    given = curve(641)
    written = Polygon(points_of(path(given, closed=True))[:-1])
    assert written.is_valid
    assert abs(written.area / Polygon(given).area - 1) < 1e-3


def test_what_work_is_laid_on_is_written_whole():
    given = curve(641)
    assert (points_of(path(given, whole=True)) == np.round(given, 3)).all()
