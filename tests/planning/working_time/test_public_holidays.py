import datetime

import pytest

from labcases.planning.working_time.public_holidays import countries, public_holidays
from labcases.prosthodontics.errors import InputError

date = datetime.date


def test_fixed_holidays_of_a_country_are_found() -> None:
    found = public_holidays("DE", years=[2026])
    assert found[date(2026, 10, 3)]
    assert found[date(2026, 12, 25)]
    assert date(2026, 1, 6) not in found


def test_holidays_are_named_in_the_language_asked_for_or_else_in_english() -> None:
    german, english = (public_holidays("DE", years=[2026], language=code) for code in ("de", "en-gb"))
    assert (german[date(2026, 12, 25)], english[date(2026, 12, 25)]) == (
        "Erster Weihnachtstag",
        "Christmas Day",
    )
    assert public_holidays("US", years=[2026], language="de") == public_holidays("US", years=[2026])


def test_a_region_adds_its_own_days() -> None:
    """Epiphany is a holiday in Bavaria, Saint Andrew's Day in Scotland (from memory)."""
    assert date(2026, 1, 6) in public_holidays("DE", "BY", years=[2026])
    assert date(2026, 11, 30) in public_holidays("GB", "SCT", years=[2026])
    assert date(2026, 11, 30) not in public_holidays("GB", "ENG", years=[2026])


def test_only_the_years_asked_for_come_back() -> None:
    assert {day.year for day in public_holidays("US", years=[2026, 2027])} == {2026, 2027}


def test_every_country_answers() -> None:
    for code, regions in countries().items():
        assert isinstance(public_holidays(code, regions[0] if regions else "", years=[2026]), dict)


def test_an_unknown_country_or_region_is_refused_in_words() -> None:
    with pytest.raises(InputError, match="two-letter code"):
        public_holidays("XX", years=[2026])
    with pytest.raises(InputError, match="region"):
        public_holidays("DE", "Atlantis", years=[2026])
