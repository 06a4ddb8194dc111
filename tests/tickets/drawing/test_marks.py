"""Lines as they are written into a drawing."""

import re

import numpy as np
from shapely import LineString, Polygon

from labcases.tickets.drawing.marks import path


def points_of(d: str) -> np.ndarray:
    return np.array(re.findall(r"(-?[\d.e-]+) (-?[\d.e-]+)", d), dtype=float)


def curve(corners: int) -> np.ndarray:
    turns = np.linspace(0, np.pi, corners)
    return np.column_stack([60 + 27 * np.cos(turns), 10 + 45 * np.sin(turns)])


def test_a_few_corners_are_all_written():
    corners = [(0, 0), (5, 0.001), (10, 0), (10, 4)]
    assert path(corners, closed=True) == "M0 0L5 0.001L10 0L10 4Z"


def test_a_curve_is_written_with_the_corners_that_it_needs():
    given = curve(641)
    written = points_of(path(given))
    assert len(written) < 120
    assert LineString(written).hausdorff_distance(LineString(given)) < 0.012
    assert (written[0] == np.round(given[0], 3)).all()
    assert (written[-1] == np.round(given[-1], 3)).all()


def test_a_closed_outline_keeps_its_area():
    given = curve(641)
    written = Polygon(points_of(path(given, closed=True)))
    assert written.is_valid
    assert abs(written.area / Polygon(given).area - 1) < 1e-3


def test_what_work_is_laid_on_is_written_whole():
    given = curve(641)
    assert (points_of(path(given, whole=True)) == np.round(given, 3)).all()
