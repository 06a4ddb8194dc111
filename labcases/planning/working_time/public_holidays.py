"""Public holidays by country and region, from the `holidays` library.

What is looked up here is stored by whoever asks: a later version of the library must not move past days.
"""

import datetime
from collections.abc import Mapping, Sequence

import holidays

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.wording import Words


def countries() -> Mapping[str, tuple[str, ...]]:
    """ISO 3166 codes of the countries that are known, each with the codes of its regions."""
    known = holidays.list_supported_countries(include_aliases=False)
    return {code: tuple(regions) for code, regions in sorted(known.items())}


def public_holidays(
    country: str, region: str = "", *, years: Sequence[int], language: str = "en"
) -> dict[datetime.date, str]:
    """The public holidays of the years in order, with their names in `language`, else in English, where the library
    has them."""
    known = countries()
    if country not in known:
        raise InputError(
            "country", country, Words("the two-letter code of a country that is known, such as DE")
        )
    if region and region not in known[country]:
        raise InputError("region", region, _regions(known[country]))
    found = holidays.country_holidays(
        country,
        subdiv=region or None,
        years=list(years),
        language=_spoken(country, language) or _spoken(country, "en"),
    )
    return {day: name for day, name in sorted(found.items()) if day.year in years}


def _regions(known: Sequence[str]) -> str:
    if not known:
        return Words("one of none for this country")
    return Words("one of {regions}").of(regions=", ".join(known))


def _spoken(country: str, language: str) -> str | None:
    """The library's name for a language in a country's list; None leaves the country's own language."""
    spoken = getattr(holidays.country_holidays(country), "supported_languages", ())
    main = language.split("-")[0]
    usual = {"en": ("en_GB", "en_US")}.get(main, ())
    found = (each for each in (*usual, main) if each in spoken)
    return next(found, None) or next((each for each in spoken if each.startswith(main)), None)
