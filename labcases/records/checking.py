"""Whether the log of a case holds: every entry as it was written, every row as its entry had it, none too many."""

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from labcases.cases.actions.guards import locked
from labcases.cases.chain import covered, entry_digest, is_erased, needs_salt
from labcases.cases.choices import Act
from labcases.cases.models import Case, Event
from labcases.records.queries import Rows, logs_of, sealed_rows

CASES_AT_ONCE = 50
# Printed with the prescriber's name of that day, which the person may since have changed.
NOT_COMPARED = frozenset({"starts_at", "prescriber"})
NAMES = {
    "cases.return": gettext_lazy("return"),
    "cases.disinfection": gettext_lazy("disinfection"),
    "measurements.prescribeddimension": gettext_lazy("prescribed dimension"),
    "measurements.reading": gettext_lazy("reading"),
    "measurements.specification": gettext_lazy("specification"),
    "measurements.specificationline": gettext_lazy("specification line"),
    "tickets.workticket": gettext_lazy("work ticket"),
}


@dataclass(frozen=True)
class Checked:
    """What was found in one case: how many entries and rows, and the first link that does not hold, in words."""

    case: Case
    entries: int
    rows: int
    broken: str

    @property
    def is_sound(self) -> bool:
        return not self.broken


def check(case: Case) -> Checked:
    """Check one case as the database has it now."""
    fresh = Case.objects.get(pk=case.pk)
    return next(check_cases([fresh]))


def check_cases(cases: Iterable[Case]) -> Iterator[Checked]:
    """Check cases one after the other, some at a time read together, while others go on working."""
    waiting = iter(cases)
    while batch := list(islice(waiting, CASES_AT_ONCE)):
        for checked in _read_together(batch):
            yield checked if checked.is_sound else _once_more(checked.case)


@transaction.atomic
def _once_more(case: Case) -> Checked:
    """Under the case's lock: somebody may have logged something between the reads that are compared."""
    return next(_read_together([locked(case.pk)]))


def _read_together(batch: list[Case]) -> Iterator[Checked]:
    logs, rows = logs_of(batch), sealed_rows(batch)
    for case in batch:
        log, kinds = logs.get(case.pk, []), rows.get(case.pk, {})
        count = sum(len(found) for found in kinds.values())
        yield Checked(case, len(log), count, next(_faults(case, log, kinds), ""))


def _faults(case: Case, log: list[Event], rows: Rows) -> Iterator[str]:
    """What does not hold, in the order of the log; whoever asks takes the first."""
    previous, covered_keys = "", {label: set() for label in rows}
    last_erasure = max((event.position for event in log if event.act == Act.ERASED), default=0)
    for number, event in enumerate(log, 1):
        yield from _entry_faults(event, number=number, case=case, previous=previous)
        yield from _erasure_faults(event, last_erasure)
        for label, said in event.covers.items():
            covered_keys.setdefault(label, set()).update(said["ids"])
            yield from _row_faults(event, label, said, rows.get(label, {}))
        previous = event.digest
    if (len(log), previous) != (case.log_length, case.log_digest):
        words = _("the log ends at entry {last}, but the case has it end at entry {expected}")
        yield words.format(last=len(log), expected=case.log_length)
    for label, found in rows.items():
        for key in sorted(found.keys() - covered_keys[label]):
            words = _("a {kind} (row {key}) is in no entry of the log")
            yield words.format(kind=NAMES[label], key=key)
    yield from _paper_faults(rows, last_erasure)
    yield from _prescription_faults(case, log)


def _entry_faults(event: Event, *, number: int, case: Case, previous: str) -> Iterator[str]:
    if event.position != number:
        yield _("entry {number} is missing").format(number=number)
    elif event.digest != _digest(event, number=case.number, previous=previous) or _has_idle_salt(event):
        yield _("{entry} is not as it was written").format(entry=_named(event))


def _digest(event: Event, *, number: str, previous: str) -> str:
    try:
        return entry_digest(event, number=number, previous=previous)
    except (AttributeError, TypeError, ValueError):
        # Another kind of value than the product ever writes.
        return ""


def _has_idle_salt(event: Event) -> bool:
    return bool(event.salt) and not needs_salt(event, event.covers)


def _erasure_faults(event: Event, last_erasure: int) -> Iterator[str]:
    if not event.salt and needs_salt(event, event.covers) and event.position > last_erasure:
        words = _("{entry} was emptied, and no entry says that the patient's data were erased")
        yield words.format(entry=_named(event))


def _row_faults(event: Event, label: str, said: dict[str, Any], rows: dict[int, Any]) -> Iterator[str]:
    kind = NAMES.get(label, label)
    gone = [key for key in said["ids"] if key not in rows]
    if gone:
        words = _("{entry}: its {kind} (row {key}) is gone")
        yield words.format(entry=_named(event), kind=kind, key=gone[0])
    elif covered([rows[key] for key in said["ids"]], salt=event.salt) != said:
        yield _("{entry}: its {kind} is not as it was written").format(entry=_named(event), kind=kind)


def _paper_faults(rows: Rows, last_erasure: int) -> Iterator[str]:
    for key, ticket in rows.get("tickets.workticket", {}).items():
        if ticket.pdf and hashlib.sha256(ticket.pdf).hexdigest() != ticket.sha256:
            yield _("the paper of a work ticket (row {key}) is not as it was printed").format(key=key)
        elif not ticket.pdf and not last_erasure:
            yield _("the paper of a work ticket (row {key}) is gone").format(key=key)


def _prescription_faults(case: Case, log: list[Event]) -> Iterator[str]:
    """The prescription must be what the log makes of it; what an entry of before does not say is not compared."""
    said: dict[str, Any] = {}
    for event in log:
        if event.act == Act.OPENED:
            said = {name: value for name, value in event.after.items() if name not in NOT_COMPARED}
        elif event.act == Act.PRESCRIPTION_CHANGED:
            said |= {name: value for name, value in event.after.items() if name not in NOT_COMPARED}
    for name, value in said.items():
        found = getattr(case, name)
        if found not in ("", None) if is_erased(value) else found != value:
            words = _("the prescription's {field} is not as the log has it")
            yield words.format(field=name.replace("_", " "))


def _named(event: Event) -> str:
    return _("entry {number} ({act})").format(number=event.position, act=event.get_act_display())
