"""Finding cases in an archive of any size: each way to find has its index, and no search reads all cases."""

import re
import string
from collections.abc import Iterable, Iterator
from typing import Any

from django.db.models import Q, QuerySet

from labcases.cases.querysets import CaseQuerySet, numbers_begun, searched
from labcases.people.choices import Role
from labcases.people.models import Practice, User

# A search that finds more than this was not narrow enough to be read through; the newest are shown.
MOST_FOUND = 200
# A shorter text begins too many codes and stands in too many names: it finds only what it is.
ENOUGH_TO_BEGIN_WITH = 3
ENOUGH_FOR_A_SLIP = 4
LETTERS = string.ascii_uppercase + string.digits + "-"
# Of the groups of three letters in two names, the share that both must have to be taken for one mistyped.
ALIKE = 0.4
MOST_NAMES = 2000


def find(cases: CaseQuerySet, text: str) -> CaseQuerySet:
    """The newest of `cases` that a text means, or, where nothing fits, that it means with one slip of the hand."""
    text = searched(text)
    if not text:
        return cases
    if "\x00" in text:
        return cases.none()
    keys = _newest(cases, _ways(text))
    if not keys and len(text) >= ENOUGH_FOR_A_SLIP:
        keys = _with_a_slip(cases, text)
    return cases.filter(pk__in=keys)


def _newest(cases: CaseQuerySet, ways: Iterable[Q]) -> list[int]:
    """Way by way, since no index answers several at once in order of time."""
    found: set[tuple[object, int]] = set()
    for way in ways:
        found.update(cases.filter(way).newest_first().values_list("opened_at", "pk")[:MOST_FOUND])
    return [pk for _, pk in sorted(found, reverse=True)[:MOST_FOUND]]


def _ways(text: str) -> Iterator[Q]:
    if len(text) < ENOUGH_TO_BEGIN_WITH:
        yield Q(patient_code__in={text, text.upper()})
        yield from _of_people(Practice.objects.filter(code__iexact=text), User.objects.none())
        return
    yield numbers_begun(text)
    yield Q(patient_code__istartswith=text)
    yield Q(order_number__istartswith=text)
    yield from _of_people(
        Practice.objects.filter(Q(name__icontains=text) | Q(code__iexact=text)),
        User.objects.filter(role=Role.CLINICIAN, display_name__icontains=text),
    )


def _of_people(practices: Iterable[Practice], prescribers: Iterable[User]) -> Iterator[Q]:
    """By their keys: knowing how many there are, the database knows whether to go by people or by time."""
    for column, people in (("practice", practices), ("prescriber", prescribers)):
        keys = [person.pk for person in people]
        if keys:
            yield Q(**{f"{column}__in": keys})


def _with_a_slip(cases: CaseQuerySet, text: str) -> list[int]:
    coded = cases.filter(patient_code__in=slips(text.upper())).order_by("patient_code")
    named = _of_people(
        _named_like(text, Practice.objects.all(), "name"),
        _named_like(text, User.objects.filter(role=Role.CLINICIAN), "display_name"),
    )
    return [*coded.values_list("pk", flat=True)[:MOST_FOUND], *_newest(cases, named)]


def slips(text: str) -> set[str]:
    """Every text that one slip turns into this one: two neighbours swapped, one sign too much, too few or wrong."""
    halves = [(text[:n], text[n:]) for n in range(len(text) + 1)]
    swapped = {a + b[1] + b[0] + b[2:] for a, b in halves if len(b) > 1}
    shorter = {a + b[1:] for a, b in halves if b}
    wrong = {a + sign + b[1:] for a, b in halves if b for sign in LETTERS}
    longer = {a + sign + b for a, b in halves for sign in LETTERS}
    return swapped | shorter | wrong | longer


def _named_like(text: str, people: QuerySet[Any], column: str) -> list[Any]:
    wanted = _threes(text)
    return [person for person in people[:MOST_NAMES] if _share(wanted, getattr(person, column)) >= ALIKE]


def _share(wanted: set[str], name: str) -> float:
    return len(wanted & _threes(name)) / len(wanted) if wanted else 0.0


def _threes(text: str) -> set[str]:
    """Groups of three letters, words apart: the beginning of a word tells most of it."""
    padded = (f"  {word} " for word in re.findall(r"\w+", text.casefold()))
    return {word[n : n + 3] for word in padded for n in range(len(word) - 2)}
