import datetime

import pytest
from hypothesis import given

from labcases.planning.working_time import USUAL_WEEK, Absence, Opening, Week
from labcases.planning.working_time.openings import without
from labcases.prosthodontics.errors import InputError
from tests.planning.working_time.strategies import openings


@pytest.mark.parametrize(("start", "end"), [(600, 600), (600, 540), (-1, 60), (0, 1441)])
def test_an_opening_ends_after_it_begins_within_one_day(start: int, end: int) -> None:
    with pytest.raises(InputError, match="ends after it begins"):
        Opening(start, end)


def test_closing_at_midnight_means_the_end_of_the_day() -> None:
    night = Opening.at(datetime.time(22), datetime.time(0))
    assert (night.start, night.end, str(night)) == (1320, 1440, "22:00–24:00")


def test_a_week_has_seven_days_of_openings_in_order() -> None:
    with pytest.raises(InputError, match="seven days"):
        Week(((),))
    with pytest.raises(InputError, match="do not overlap"):
        Week(((Opening(480, 720), Opening(700, 900)), *[()] * 6))


def test_the_delivered_week_is_five_days_of_eight_hours() -> None:
    """Common practice, no source."""
    assert USUAL_WEEK.minutes == 2400
    assert USUAL_WEEK.mask == (True,) * 5 + (False,) * 2


@given(openings(), openings())
def test_what_is_cut_out_and_what_is_left_make_up_the_whole(
    some: tuple[Opening, ...], taken: tuple[Opening, ...]
) -> None:
    left = some
    for opening in taken:
        left = without(left, opening)
    for minute in range(0, 1440, 5):
        inside = any(o.start <= minute < o.end for o in some)
        cut = any(o.start <= minute < o.end for o in taken)
        assert any(o.start <= minute < o.end for o in left) == (inside and not cut)


def test_an_absence_ends_no_earlier_than_it_begins() -> None:
    with pytest.raises(InputError, match="not before the first"):
        Absence(datetime.date(2026, 5, 2), datetime.date(2026, 5, 1))
