"""Pages of a list that may be as long as the laboratory is old: by where the last page ended, without a count."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import Q, QuerySet
from django.http import HttpRequest

MARK = "~"
LONGEST_MARK = 60


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


def stretch(request: HttpRequest, rows: QuerySet, *, by: str, size: int) -> Stretch:
    """The page that the address means of rows with the newest first by the moment `by`.

    As quick on the last page as on the first: the database goes to the mark by its index and reads one page from
    there. A mark that is none leads to the newest.
    """
    older, newer = (_read(request.GET.get(name, "")) for name in ("older", "newer"))
    if newer and not older:
        found = list(rows.filter(_beyond(by, newer, "gt")).order_by(by, "pk")[: size + 1])
        shown = found[:size][::-1]
        return Stretch(shown, _mark(shown[0], by) if len(found) > size else "", _last(shown, by))
    found = list(
        (rows.filter(_beyond(by, older, "lt")) if older else rows).order_by(f"-{by}", "-pk")[: size + 1]
    )
    shown = found[:size]
    more = len(found) > size
    return Stretch(shown, _mark(shown[0], by) if older and shown else "", _last(shown, by) if more else "")


def _beyond(by: str, mark: tuple[datetime.datetime, int], way: str) -> Q:
    """Rows past a mark. The first half lets the index begin there; an OR alone would not."""
    moment, key = mark
    return Q(**{f"{by}__{way}e": moment}) & (Q(**{f"{by}__{way}": moment}) | Q(**{f"pk__{way}": key}))


def _last(rows: list[Any], by: str) -> str:
    return _mark(rows[-1], by) if rows else ""


def _mark(row: Any, by: str) -> str:
    return f"{getattr(row, by).astimezone(datetime.UTC):%Y%m%dT%H%M%S.%f}{MARK}{row.pk}"


def _read(text: str) -> tuple[datetime.datetime, int] | None:
    moment, _, key = text[:LONGEST_MARK].partition(MARK)
    if not (key.isascii() and key.isdigit() and len(key) < 19):
        return None
    try:
        return datetime.datetime.strptime(moment, "%Y%m%dT%H%M%S.%f").replace(tzinfo=datetime.UTC), int(key)
    except ValueError:
        return None
