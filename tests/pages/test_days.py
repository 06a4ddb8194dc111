"""Days are those that a laboratory can mean: beyond them the calendar's own arithmetic ends, and plans with it."""

import datetime

import pytest
from django.core.exceptions import ValidationError

from labcases.pages.days import read_day
from labcases.pages.fields import DayField


@pytest.mark.parametrize("text", ["1999-12-31", "2101-01-01", "0001-01-01", "9999-12-31"])
def test_a_slip_of_the_year_is_refused_with_the_years_that_are_taken(text):
    with pytest.raises(ValidationError, match="from 2000 to 2100"):
        DayField().clean(text)
    assert read_day(text) is None


@pytest.mark.parametrize("text", ["2000-01-01", "2026-12-01", "2100-12-31"])
def test_a_day_that_can_be_meant_is_read(text):
    day = datetime.date.fromisoformat(text)
    assert DayField().clean(text) == read_day(text) == day


@pytest.mark.parametrize("text", ["3.12.2026", "03/12/2026"])
def test_a_typed_day_has_the_day_before_the_month(text):
    assert DayField().clean(text) == datetime.date(2026, 12, 3)


@pytest.mark.parametrize("text", ["", "tomorrow", "2026-02-30", "20261201x", "2026-12-01T09:00"])
def test_what_is_no_day_in_an_address_is_none(text):
    assert read_day(text) is None
