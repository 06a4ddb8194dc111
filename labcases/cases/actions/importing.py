"""A file of prescriptions on its way: kept, its columns named, checked, accepted, and taken in row by row.

What a row means and whether it can be a case is judged above this room; here stands what is kept of it.
"""

import datetime
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import F
from django.db.models.functions import Now
from django.utils.translation import gettext as _

from labcases.cases.choices import IMPORTS_AT_WORK, DayOrder, ImportState, LineState
from labcases.cases.models import Case, CaseImport, ImportHeading, ImportLine
from labcases.cases.queries import may_import_be_tried_again
from labcases.people.access import may_manage
from labcases.people.models import Practice, User
from labcases.people.refusals import Conflict, NotAllowed, Refused

# So many rows are taken in at once, in one transaction: more would keep everybody else from writing for too long.
MOST_AT_ONCE = 300
TO_TAKE = (LineState.READY, LineState.UNUSUAL)


@dataclass(frozen=True)
class Judged:
    """What the check found about one row; each fault names its heading, the cell and what is wrong."""

    line: ImportLine
    state: str
    faults: Sequence[Mapping[str, str]] = ()
    case: Case | None = None


@transaction.atomic
def keep_file(
    *,
    file_name: str,
    sha256: str,
    headings: Sequence[str],
    rows: Iterable[tuple[int, Sequence[str]]],
    by: User,
    now: datetime.datetime,
) -> CaseImport:
    """Keep a file's rows, each with its number in the file; nothing is taken in yet."""
    _only_managers(by)
    kept = CaseImport.objects.create(
        file_name=file_name[:200], sha256=sha256, headings=list(headings), made_by=by, made_at=now
    )
    ImportLine.objects.bulk_create(
        ImportLine(case_import=kept, position=position, cells=list(cells)) for position, cells in rows
    )
    return kept


@transaction.atomic
def name_columns(
    *,
    case_import: CaseImport,
    mapping: Sequence[str],
    practice: Practice | None,
    days_as: str,
    by: User,
    expected_version: int,
) -> int:
    """Say what each column means ("" leaves it out), remember it for the next file, and begin a check.

    Returns the attempt that whoever checks belongs to.
    """
    _only_managers(by)
    if days_as not in DayOrder.values or len(mapping) != len(case_import.headings):
        raise Refused(_("Say for each column what it means."))
    _move(
        case_import,
        expected_version,
        states=(ImportState.MAPPING, ImportState.CHECKED),
        state=ImportState.CHECKING,
        mapping=list(mapping),
        practice=practice,
        days_as=days_as,
    )
    ImportLine.objects.filter(case_import=case_import).exclude(state=LineState.TAKEN).update(
        state=LineState.WAITING, faults=[], case=None
    )
    for heading, field in zip(case_import.headings, mapping, strict=True):
        ImportHeading.objects.update_or_create(heading=heading[:200].casefold(), defaults={"field": field})
    return case_import.attempt + 1


@transaction.atomic
def accept_import(
    *,
    case_import: CaseImport,
    one_by_one: bool,
    with_unusual: bool,
    signed: bool,
    by: User,
    expected_version: int,
) -> int:
    """Begin to take in the rows that were found ready: all of them or none, or one by one without the others.

    `signed` says that the laboratory holds the signed prescriptions. Returns the attempt, as `name_columns` does.
    """
    _only_managers(by)
    lines = ImportLine.objects.filter(case_import=case_import)
    wanted = TO_TAKE if with_unusual else TO_TAKE[:1]
    if not lines.filter(state__in=wanted).exists():
        raise Refused(_("No row of this file can be taken in."))
    if not one_by_one and lines.exclude(state__in=(*wanted, LineState.KNOWN, LineState.TAKEN)).exists():
        raise Refused(_("Not every row can be taken in. Put the others right, or leave them out."))
    if not one_by_one and lines.count() > MOST_AT_ONCE:
        raise Refused(_("More than {number} rows are taken in one by one.").format(number=MOST_AT_ONCE))
    _move(
        case_import,
        expected_version,
        states=(ImportState.CHECKED,),
        state=ImportState.TAKING,
        one_by_one=one_by_one,
        with_unusual=with_unusual,
        signed=signed,
        accepted_by=by,
    )
    return case_import.attempt + 1


@transaction.atomic
def try_import_again(*, case_import: CaseImport, by: User, now: datetime.datetime) -> int:
    """Begin the work anew that a worker left; what it had taken in stays and is not taken in again."""
    _only_managers(by)
    if not may_import_be_tried_again(case_import, now=now):
        raise Refused(_("Somebody is at work on it."))
    _move(case_import, case_import.version, states=IMPORTS_AT_WORK, state=case_import.state)
    return case_import.attempt + 1


@transaction.atomic
def drop_import(*, case_import: CaseImport, by: User, expected_version: int) -> None:
    """Throw away what was not taken in: the whole file, or the rows left of one from which cases were taken in."""
    _only_managers(by)
    resting = (ImportState.MAPPING, ImportState.CHECKED, ImportState.DONE)
    _move(case_import, expected_version, states=resting, state=ImportState.DONE)
    _throw_away(case_import.pk)


@transaction.atomic
def throw_away_old_rows(*, before: datetime.datetime) -> int:
    """Throw away what was not taken in from files chosen before then: it says things of patients, and is of no case
    that would one day be erased. Returns how many rows went."""
    left = ImportLine.objects.exclude(state=LineState.TAKEN).filter(case_import__made_at__lt=before)
    count = 0
    for pk in left.values_list("case_import", flat=True).distinct():
        resting = CaseImport.objects.filter(pk=pk).exclude(state__in=IMPORTS_AT_WORK)
        if resting.update(state=ImportState.DONE, version=F("version") + 1):
            count += _throw_away(pk)
    return count


def _throw_away(pk: int) -> int:
    """Delete the rows of a file that were not taken in, and the file with them if no others are left."""
    count, _per_model = ImportLine.objects.filter(case_import=pk).exclude(state=LineState.TAKEN).delete()
    CaseImport.objects.filter(pk=pk, lines=None).delete()
    return count


@transaction.atomic
def keep_judgements(*, pk: int, attempt: int, judged: Sequence[Judged]) -> bool:
    """Keep what a check found; False if another attempt is in charge by now."""
    if not _beat(pk, attempt, ImportState.CHECKING):
        return False
    for each in judged:
        each.line.state, each.line.faults, each.line.case = each.state, list(each.faults), each.case
    ImportLine.objects.bulk_update([each.line for each in judged], ["state", "faults", "case"])
    return True


@transaction.atomic
def take_line(
    *, case_import: CaseImport, attempt: int, line: ImportLine, take_in: Callable[[], Case]
) -> bool:
    """Take one row in, once; False if another attempt is in charge, or has taken it in by now."""
    if not _beat(case_import.pk, attempt, ImportState.TAKING):
        return False
    # The case has it all now; a second place that names the patient would outlive an erasure.
    taken = {"state": LineState.TAKEN, "faults": [], "cells": []}
    if not ImportLine.objects.filter(pk=line.pk, state__in=TO_TAKE).update(**taken):
        return True
    case = take_in()
    ImportLine.objects.filter(pk=line.pk).update(case=case)
    return True


@transaction.atomic
def note_fault(*, case_import: CaseImport, attempt: int, line: ImportLine, words: str) -> None:
    """A row that was ready when it was checked, and is not any more."""
    if _beat(case_import.pk, attempt, ImportState.TAKING):
        fault = {"heading": "", "value": "", "words": words}
        ImportLine.objects.filter(pk=line.pk).update(state=LineState.FAULTY, faults=[fault])


@transaction.atomic
def end_import(*, pk: int, attempt: int, state: str, was: str, failure: str = "") -> bool:
    """End an attempt in a state, with the reason where it failed; False if another one is in charge."""
    return bool(
        CaseImport.objects.filter(pk=pk, attempt=attempt, state=was).update(
            state=state, failure=failure[:400], finished_at=Now(), version=F("version") + 1
        )
    )


def _beat(pk: int, attempt: int, state: str) -> bool:
    return bool(CaseImport.objects.filter(pk=pk, attempt=attempt, state=state).update(beat_at=Now()))


def _only_managers(by: User) -> None:
    if not may_manage(by):
        raise NotAllowed(_("Only a lab manager takes in cases from a file."))


def _move(case_import: CaseImport, expected_version: int, *, states: Sequence[str], **changes: Any) -> None:
    """Change the import as it was seen, and let the next attempt be in charge."""
    changed = CaseImport.objects.filter(
        pk=case_import.pk, version=expected_version, attempt=case_import.attempt, state__in=states
    ).update(
        version=F("version") + 1,
        attempt=F("attempt") + 1,
        failure="",
        beat_at=Now(),
        finished_at=None,
        **changes,
    )
    if not changed:
        raise _conflict(case_import)


def _conflict(case_import: CaseImport) -> Conflict:
    words = _("{file} was changed by somebody else while this page was open.")
    return Conflict(words.format(file=case_import.file_name))
