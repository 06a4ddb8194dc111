"""The work on a file that takes longer than a page may: checking it, and taking its rows in."""

import logging
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from itertools import islice

from django.conf import settings
from django.db import transaction
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django_tasks import task

from labcases.cases.actions import importing
from labcases.cases.choices import ImportState, LineState
from labcases.cases.models import CaseImport, ImportLine
from labcases.cases.queries import import_by_id, import_lines
from labcases.pages.importing.judging import Judge
from labcases.people.refusals import Refused
from labcases.prosthodontics.errors import LabCasesError

CHUNK = 25
# So many rows are done within the second that a page may take; the worker does more than that.
logger = logging.getLogger(__name__)
DONE_AT_ONCE = {ImportState.CHECKING: 100, ImportState.TAKING: 10}


class _Overtaken(Exception):
    """Another attempt is in charge by now."""


@task()
def check_import(*, pk: int, attempt: int) -> str:
    """Judge every row of a file; its failure is kept and shown."""
    return _run(_check, pk, attempt, was=ImportState.CHECKING, back_to=ImportState.MAPPING)


@task()
def take_import(*, pk: int, attempt: int) -> str:
    """Take in the rows of a file that are ready; its failure is kept and shown, and nothing of the file is lost."""
    return _run(_take, pk, attempt, was=ImportState.TAKING, back_to=ImportState.CHECKED)


def begin(case_import: CaseImport, *, state: str, attempt: int) -> None:
    """Begin the work of a state once the transaction has ended: at once if it is little, else by the worker."""
    job = {ImportState.CHECKING: check_import, ImportState.TAKING: take_import}[ImportState(state)]
    little = case_import.lines.count() <= DONE_AT_ONCE[ImportState(state)]
    start = _quietly(job.func) if little else job.enqueue
    transaction.on_commit(partial(start, pk=case_import.pk, attempt=attempt))


def _quietly(run: Callable[..., str]) -> Callable[..., object]:
    """A failure is on the import's page already; whoever waits for the page needs no second one."""

    def start(*, pk: int, attempt: int) -> None:
        try:
            run(pk=pk, attempt=attempt)
        except Exception:
            logger.exception("Work on a file of prescriptions failed.")

    return start


def _run(work: Callable[[CaseImport, int], None], pk: int, attempt: int, *, was: str, back_to: str) -> str:
    found = import_by_id(pk)
    if found is None or (found.attempt, found.state) != (attempt, was):
        return "not taken up: done, dropped or begun anew meanwhile"
    try:
        # What is found is kept for everybody, so it is written in the laboratory's language.
        with translation.override(settings.LANGUAGE_CODE):
            work(found, attempt)
    except _Overtaken:
        return "another attempt is in charge"
    except LabCasesError as refusal:
        importing.end_import(pk=pk, attempt=attempt, state=back_to, was=was, failure=refusal.message)
    except Exception as error:
        failure = f"{type(error).__name__}: {error}"
        importing.end_import(pk=pk, attempt=attempt, state=back_to, was=was, failure=failure)
        raise
    return "done"


def _check(found: CaseImport, attempt: int) -> None:
    judge = Judge(found, by=found.made_by, today=timezone.localdate())
    for lines in _chunks(import_lines(found, [LineState.WAITING])):
        if not importing.keep_judgements(pk=found.pk, attempt=attempt, judged=judge.judge(lines)):
            raise _Overtaken
    importing.end_import(pk=found.pk, attempt=attempt, state=ImportState.CHECKED, was=ImportState.CHECKING)


def _take(found: CaseImport, attempt: int) -> None:
    if found.one_by_one:
        _take_each(found, attempt)
    else:
        with transaction.atomic():
            _take_all(found, attempt)


def _take_all(found: CaseImport, attempt: int) -> None:
    """Every row, or an error that undoes them all; run in one transaction."""
    judge = _judge_for(found)
    for line in import_lines(found, _wanted(found)):
        try:
            _take_one(found, attempt, judge, line)
        except LabCasesError as refusal:
            raise Refused(
                _("Row {row}: {refusal} Nothing was taken in.").format(
                    row=line.position, refusal=refusal.message
                )
            ) from refusal
    _finish(found, attempt)


def _take_each(found: CaseImport, attempt: int) -> None:
    """Each row in a transaction of its own, so that whoever takes up a broken attempt goes on where it ended."""
    judge = _judge_for(found)
    for line in import_lines(found, _wanted(found)):
        try:
            _take_one(found, attempt, judge, line)
        except LabCasesError as refusal:
            importing.note_fault(case_import=found, attempt=attempt, line=line, words=refusal.message)
    _finish(found, attempt)


def _take_one(found: CaseImport, attempt: int, judge: Judge, line: ImportLine) -> None:
    form = judge.form_of(line)
    if not form.is_valid():
        raise Refused(judge.words_of(line, form))
    assert found.accepted_by is not None
    take_in = partial(form.take_in, by=found.accepted_by, now=timezone.now())
    if not importing.take_line(case_import=found, attempt=attempt, line=line, take_in=take_in):
        raise _Overtaken


def _finish(found: CaseImport, attempt: int) -> None:
    done = importing.end_import(pk=found.pk, attempt=attempt, state=ImportState.DONE, was=ImportState.TAKING)
    if not done:
        raise _Overtaken


def _judge_for(found: CaseImport) -> Judge:
    assert found.accepted_by is not None
    return Judge(found, by=found.accepted_by, today=timezone.localdate())


def _wanted(found: CaseImport) -> Sequence[str]:
    return importing.TO_TAKE if found.with_unusual else importing.TO_TAKE[:1]


def _chunks(lines: Sequence[ImportLine]) -> Iterator[list[ImportLine]]:
    each = iter(list(lines))
    while chunk := list(islice(each, CHUNK)):
        yield chunk
