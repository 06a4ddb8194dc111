"""Finding cases in an archive of any size: each way to find has its index, and no search reads all cases."""

import re
import string
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import reduce
from operator import or_

from django.db.models import Q

from labcases.cases.querysets import CaseQuerySet, numbers_begun, searched
from labcases.people.choices import Role
from labcases.people.models import Practice, User

# A search that finds more than this was not narrow enough to be read through; the newest are shown.
MOST_FOUND = 100
# A shorter text begins too many codes and stands in too many names: it finds only what it is.
ENOUGH_TO_BEGIN_WITH = 3
ENOUGH_FOR_A_SLIP = 4
LETTERS = string.ascii_uppercase + string.digits + "-"
# Of the groups of three letters in two names, the share that both must have to be taken for one mistyped.
ALIKE = 0.4


@dataclass(frozen=True)
class Names:
    """Practices and prescribers by key: few beside their cases, so they are read once and looked through here."""

    practices: dict[int, tuple[str, str]]
    prescribers: dict[int, str]

    def like(self, fits: Callable[[str], bool], *, code: str = "") -> Q | None:
        """Cases of those whose name fits, or whose code this is.

        By their keys: knowing how many there are, the database knows whether to go by people or by time.
        """
        practices = [pk for pk, (name, own) in self.practices.items() if fits(name) or own.casefold() == code]
        prescribers = [pk for pk, name in self.prescribers.items() if fits(name)]
        ways = [Q(practice__in=practices)] if practices else []
        ways += [Q(prescriber__in=prescribers)] if prescribers else []
        return reduce(or_, ways) if ways else None


def find(cases: CaseQuerySet, text: str) -> CaseQuerySet:
    """The newest of `cases` that a text means, or, where nothing fits, that it means with one slip of the hand."""
    text = searched(text)
    if not text:
        return cases
    if "\x00" in text:
        return cases.none()
    names = _names()
    keys = _that_fit(cases, text, names)
    if not keys and len(text) >= ENOUGH_FOR_A_SLIP:
        keys = _with_a_slip(cases, text, names)
    return cases.filter(pk__in=keys)


def _names() -> Names:
    practices = Practice.objects.order_by().values_list("pk", "name", "code")
    prescribers = User.objects.filter(role=Role.CLINICIAN).order_by().values_list("pk", "display_name")
    return Names({pk: (name, code) for pk, name, code in practices}, dict(prescribers))


def _that_fit(cases: CaseQuerySet, text: str, names: Names) -> list[int]:
    """Asked apart, since no index answers texts and people at once in order of time."""
    folded = text.casefold()
    if len(text) < ENOUGH_TO_BEGIN_WITH:
        texts = Q(patient_code__in={text, text.upper()})
        people = names.like(lambda name: False, code=folded)
    else:
        texts = numbers_begun(text) | Q(patient_code__istartswith=text) | Q(order_number__istartswith=text)
        people = names.like(lambda name: folded in name.casefold(), code=folded)
    return _newest(cases, [texts, people] if people else [texts])


def _with_a_slip(cases: CaseQuerySet, text: str, names: Names) -> list[int]:
    wanted = _threes(text)
    people = names.like(lambda name: _share(wanted, name) >= ALIKE)
    found = _rows(cases, people) if people else set()
    # In the order of the codes' own index, or PostgreSQL might go by time and look at all.
    codes = cases.filter(patient_code__one_of=slips(text.upper())).order_by("patient_code")
    return _keys(found.union(codes.values_list("opened_at", "pk")[:MOST_FOUND]))


def _newest(cases: CaseQuerySet, ways: Iterable[Q]) -> list[int]:
    return _keys(set().union(*(_rows(cases, way) for way in ways)))


def _rows(cases: CaseQuerySet, way: Q) -> set[tuple[object, int]]:
    return set(cases.filter(way).newest_first().values_list("opened_at", "pk")[:MOST_FOUND])


def _keys(found: set[tuple[object, int]]) -> list[int]:
    return [pk for _, pk in sorted(found, reverse=True)[:MOST_FOUND]]


def slips(text: str) -> set[str]:
    """Every text that one slip turns into this one: two neighbours swapped, one sign too much, too few or wrong."""
    halves = [(text[:n], text[n:]) for n in range(len(text) + 1)]
    swapped = {a + b[1] + b[0] + b[2:] for a, b in halves if len(b) > 1}
    shorter = {a + b[1:] for a, b in halves if b}
    wrong = {a + sign + b[1:] for a, b in halves if b for sign in LETTERS}
    longer = {a + sign + b for a, b in halves for sign in LETTERS}
    return swapped | shorter | wrong | longer


def _share(wanted: set[str], name: str) -> float:
    return len(wanted & _threes(name)) / len(wanted) if wanted else 0.0


def _threes(text: str) -> set[str]:
    """Groups of three letters, words apart: the beginning of a word tells most of it."""
    padded = (f"  {word} " for word in re.findall(r"\w+", text.casefold()))
    return {word[n : n + 3] for word in padded for n in range(len(word) - 2)}
