"""Pages of a list that may be as long as the laboratory is old: by where the last page ended, without a count."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator
from django.db import models
from django.db.models import Q, QuerySet
from django.http import HttpRequest

MARK = "~"
LONGEST_MARK = 60
MOMENT = "%Y%m%dT%H%M%S.%f"

# A moment and the key of the row, since several rows may be of one moment; or a number that stands once in its list.
Mark = tuple[datetime.datetime, int] | int


@dataclass(frozen=True)
class Stretch:
    """A page of a list that is not counted; `newer` and `older` are the marks in the addresses beside it, or empty."""

    object_list: list[Any]
    newer: str
    older: str

    def __iter__(self) -> Iterator[Any]:
        return iter(self.object_list)

    @property
    def is_all(self) -> bool:
        return not self.newer and not self.older


def counted_page(request: HttpRequest, rows: Any, *, size: int) -> Page:
    """A page of a list short enough to be counted, such as of what is open."""
    return Paginator(rows, size).get_page(request.GET.get("page"))


def stretch(
    request: HttpRequest, rows: QuerySet, *, by: str, size: int, oldest_first: bool = False
) -> Stretch:
    """The page that the address means of rows in order of `by`, a moment or a number; the newest first unless told.

    As quick on the last page as on the first: the database goes to the mark by its index and reads one page from
    there. A mark that is none leads to the beginning.
    """
    read = _number if _is_numbered(rows, by) else _moment_and_key
    older, newer = (read(request.GET.get(name, "")[:LONGEST_MARK]) for name in ("older", "newer"))
    mark = newer if older is None else older
    upwards = oldest_first if mark is None else older is None
    found = list(_from(rows, by, mark, upwards=upwards)[: size + 1])
    shown, more = found[:size], len(found) > size
    if not upwards:
        shown.reverse()
    # Where it was come from there are rows; where it leads to, if one more than a page was found.
    is_newer, is_older = (more, mark is not None) if upwards else (mark is not None, more)
    return Stretch(
        shown if oldest_first else shown[::-1],
        _mark(shown[-1], by) if shown and is_newer else "",
        _mark(shown[0], by) if shown and is_older else "",
    )


def _from(rows: QuerySet, by: str, mark: Mark | None, *, upwards: bool) -> QuerySet:
    """Rows past a mark, in order."""
    way, sign = ("gt", "") if upwards else ("lt", "-")
    if isinstance(mark, int):
        rows = rows.filter(**{f"{by}__{way}": mark})
    elif mark is not None:
        moment, key = mark
        # The first half lets the index begin there; an OR alone would not.
        past = Q(**{f"{by}__{way}": moment}) | Q(**{f"pk__{way}": key})
        rows = rows.filter(Q(**{f"{by}__{way}e": moment}) & past)
    return rows.order_by(f"{sign}{by}", *([] if _is_numbered(rows, by) else [f"{sign}pk"]))


def _is_numbered(rows: QuerySet, by: str) -> bool:
    return isinstance(rows.model._meta.get_field(by), models.IntegerField)


def _mark(row: Any, by: str) -> str:
    place = getattr(row, by)
    return (
        str(place) if isinstance(place, int) else f"{place.astimezone(datetime.UTC):{MOMENT}}{MARK}{row.pk}"
    )


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 19 else None


def _moment_and_key(text: str) -> tuple[datetime.datetime, int] | None:
    moment, _, key = text.partition(MARK)
    number = _number(key)
    try:
        found = datetime.datetime.strptime(moment, MOMENT).replace(tzinfo=datetime.UTC)
    except ValueError:
        return None
    return None if number is None else (found, number)
