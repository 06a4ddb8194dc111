from datetime import date

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.retention import keep_until


def test_papers_are_kept_for_whole_years():
    assert keep_until(date(2026, 11, 25), years=10) == date(2036, 11, 25)


def test_a_leap_day_is_kept_a_day_longer_rather_than_a_day_less():
    assert keep_until(date(2028, 2, 29), years=10) == date(2038, 3, 1)
    assert keep_until(date(2028, 2, 29), years=4) == date(2032, 2, 29)


def test_no_years_are_refused():
    with pytest.raises(InputError, match="years"):
        keep_until(date(2026, 11, 25), years=0)
