import datetime

import pytest

from labcases.upkeep.rules import backups_to_keep, day_of_backup, space_in_a_word

FIRST = datetime.datetime(2026, 1, 1, 2, tzinfo=datetime.UTC)
DAY = datetime.timedelta(days=1)
YEAR = [FIRST + n * DAY for n in range(400)]
LAST = YEAR[-1]


def kept(moments, daily=7, weekly=5, monthly=12):
    return sorted(backups_to_keep(moments, daily=daily, weekly=weekly, monthly=monthly), reverse=True)


@pytest.mark.parametrize(("hour", "day"), [(1, 24), (2, 25), (23, 25)])
def test_before_its_hour_the_backup_is_still_that_of_the_day_before(hour, day):
    at = datetime.datetime(2026, 11, 25, hour, 30, tzinfo=datetime.UTC)
    assert day_of_backup(at, hour=2) == datetime.date(2026, 11, day)


def test_the_last_days_weeks_and_months_are_kept():
    found = kept(YEAR)
    assert found[:7] == [LAST - n * DAY for n in range(7)]
    assert {moment.isocalendar()[:2] for moment in found} >= {
        (LAST - n * 7 * DAY).isocalendar()[:2] for n in range(5)
    }
    assert {(moment.year, moment.month) for moment in found} == {
        (2027, 2),
        (2027, 1),
        *((2026, month) for month in range(3, 13)),
    }
    assert len(found) <= 7 + 5 + 12


def test_of_a_month_the_newest_is_kept():
    march = [moment for moment in kept(YEAR) if (moment.year, moment.month) == (2026, 3)]
    assert march == [datetime.datetime(2026, 3, 31, 2, tzinfo=datetime.UTC)]


def test_letting_go_every_night_comes_to_the_same_as_at_once():
    held = set()
    for moment in YEAR:
        held = backups_to_keep(held | {moment}, daily=7, weekly=5, monthly=12)
    assert sorted(held, reverse=True) == kept(YEAR)


def test_a_site_that_stood_still_keeps_what_it_had():
    old = [FIRST + n * DAY for n in range(3)]
    assert kept([*old, FIRST + 900 * DAY], weekly=0, monthly=0, daily=4)[1:] == sorted(old, reverse=True)


def test_the_newest_is_kept_whatever_the_settings_say():
    assert kept(YEAR, daily=0, weekly=0, monthly=0) == [LAST]
    assert kept([]) == []


@pytest.mark.parametrize(
    ("free", "word"),
    [(0, "none"), (64 * 1024**2 - 1, "none"), (64 * 1024**2, "little"), (1024**3, "enough")],
)
def test_room_on_a_disk_in_a_word(free, word):
    assert space_in_a_word(free) == word
