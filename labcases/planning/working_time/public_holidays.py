"""Public holidays by country and region, from the `holidays` library.

What is looked up here is stored by whoever asks: a later version of the library must not move past days.
"""

import datetime
from collections.abc import Mapping, Sequence

import holidays

from labcases.prosthodontics.errors import InputError


def countries() -> Mapping[str, tuple[str, ...]]:
    """ISO 3166 codes of the countries that are known, each with the codes of its regions."""
    known = holidays.list_supported_countries(include_aliases=False)
    return {code: tuple(regions) for code, regions in sorted(known.items())}


def public_holidays(country: str, region: str = "", *, years: Sequence[int]) -> dict[datetime.date, str]:
    """The public holidays of the years in order, with their names in English where the library has them."""
    known = countries()
    if country not in known:
        raise InputError("country", country, "the two-letter code of a country that is known, such as DE")
    if region and region not in known[country]:
        raise InputError("region", region, f"one of {', '.join(known[country]) or 'none for this country'}")
    found = holidays.country_holidays(
        country, subdiv=region or None, years=list(years), language=_english(country)
    )
    return {day: name for day, name in sorted(found.items()) if day.year in years}


def _english(country: str) -> str | None:
    """The library's name for English in a country's list; None leaves the country's own language."""
    spoken = getattr(holidays.country_holidays(country), "supported_languages", ())
    return next((language for language in ("en_GB", "en_US", "en") if language in spoken), None) or next(
        (language for language in spoken if language.startswith("en")), None
    )
