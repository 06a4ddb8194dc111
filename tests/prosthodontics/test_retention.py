from datetime import date, timedelta

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.retention import keep_until, kept_since


def test_papers_are_kept_for_whole_years():
    assert keep_until(date(2026, 11, 25), years=10) == date(2036, 11, 25)


def test_a_leap_day_is_kept_a_day_longer_rather_than_a_day_less():
    assert keep_until(date(2028, 2, 29), years=10) == date(2038, 3, 1)
    assert keep_until(date(2028, 2, 29), years=4) == date(2032, 2, 29)


def test_no_years_are_refused():
    with pytest.raises(InputError, match="years"):
        keep_until(date(2026, 11, 25), years=0)


def test_what_has_been_kept_long_enough_is_what_need_not_be_kept_longer():
    today = date(2024, 1, 1)
    while today < date(2033, 1, 1):
        for years in (1, 4, 10):
            last = kept_since(today, years=years)
            assert keep_until(last, years=years) <= today < keep_until(last + timedelta(days=1), years=years)
        today += timedelta(days=1)
