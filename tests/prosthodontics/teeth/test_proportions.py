"""Shares of average crowns: Wheeler; Ash and Nelson (recalled, two rows seen)."""

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.teeth import between_distal_surfaces, between_tips, front_widths


def test_a_width_of_average_teeth_parts_into_average_teeth():
    """Six upper front teeth of 8.5, 6.5 and 7.5 mm take 45.0 mm."""
    assert front_widths("maxillary", 45.0) == pytest.approx((8.5, 6.5, 7.5))
    assert front_widths("mandibular", 35.0) == pytest.approx((5.0, 5.5, 7.0))


@pytest.mark.parametrize("teeth", [6, 8, 10])
def test_six_of_them_take_the_width_however_many_are_drawn(teeth):
    widths = front_widths("maxillary", 50.0, teeth=teeth)
    assert len(widths) == teeth // 2
    assert 2 * sum(widths[:3]) == pytest.approx(50.0)


def test_a_central_that_is_known_keeps_its_width():
    widths = front_widths("maxillary", 45.0, central_width=9.5)
    assert widths[0] == 9.5
    assert 2 * sum(widths) == pytest.approx(45.0)
    assert widths[1] / widths[2] == pytest.approx(6.5 / 7.5)


def test_a_central_as_wide_as_three_teeth_is_refused():
    with pytest.raises(InputError, match="central_width"):
        front_widths("maxillary", 30.0, central_width=15.0)
    with pytest.raises(InputError, match="teeth"):
        front_widths("maxillary", 45.0, teeth=7)


def test_from_tip_to_tip_half_a_canine_is_missing_on_either_side():
    assert between_tips("maxillary", 45.0) == pytest.approx(45.0 - 7.5)
    assert between_distal_surfaces("maxillary", 37.5) == pytest.approx(45.0)
