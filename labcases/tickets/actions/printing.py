"""Many papers in one print, made in the background: each can be opened as soon as it is there, and none is lost."""

import datetime
from collections.abc import Iterator, Sequence
from math import ceil

from django.db import transaction
from django.db.models import F
from django.db.models.functions import Now
from django.utils.translation import gettext as _
from django_tasks import task

from labcases.cases.models import Stage
from labcases.people.access import may_manage
from labcases.people.models import User
from labcases.people.refusals import Conflict, NotAllowed, Refused
from labcases.prosthodontics.errors import LabCasesError, one_line
from labcases.tickets.actions.issuing import issue_for_print, which_paper
from labcases.tickets.choices import AT_WORK, Paper, RunState
from labcases.tickets.models import PrintLine, PrintRun
from labcases.tickets.pdf import LaidOut, together
from labcases.tickets.queries import is_silent

# The whole print of a day is of no use on the next but one; every single paper is kept with its stage.
WHOLE_PRINT_KEPT = datetime.timedelta(days=2)
# Of one run one worker makes all, since it writes them together; two workers share a morning's fifty by halves.
MOST_IN_A_RUN = 25


@transaction.atomic
def ask_for_papers(
    *, stages: Sequence[Stage], paper: str, by: User, now: datetime.datetime
) -> list[PrintRun]:
    """Have the tickets of these stages made in the background, in this order; what is made is kept paper by paper.

    Many are shared out to several runs of nearly one length, so that several workers can be at them.
    """
    if not may_manage(by):
        raise NotAllowed(_("Only a lab manager prints the tickets of a day."))
    if paper not in Paper.values:
        raise Refused(which_paper())
    if not stages:
        raise Refused(_("Tick at least one ticket to print."))
    runs = []
    for first, share in _shares(stages):
        run = PrintRun.objects.create(paper=paper, asked_by=by, asked_at=now)
        PrintLine.objects.bulk_create(
            PrintLine(run=run, position=number, stage=stage) for number, stage in enumerate(share, first)
        )
        _enqueue(run.pk, run.attempt)
        runs.append(run)
    return runs


def _shares(stages: Sequence[Stage]) -> Iterator[tuple[int, Sequence[Stage]]]:
    """The stages of each run, with the position of its first among all."""
    runs = ceil(len(stages) / MOST_IN_A_RUN)
    size = ceil(len(stages) / runs)
    for start in range(0, len(stages), size):
        yield start + 1, stages[start : start + size]


def put_old_prints_away(*, now: datetime.datetime) -> int:
    """Empty the whole prints of days past; how many. Every single paper stays with its stage."""
    old = PrintRun.objects.filter(asked_at__lt=now - WHOLE_PRINT_KEPT).exclude(pdf=b"")
    return old.update(pdf=b"", pages=0)


def _enqueue(pk: int, attempt: int) -> None:
    transaction.on_commit(lambda: print_papers.enqueue(pk=pk, attempt=attempt))


@transaction.atomic
def print_again(*, run: PrintRun, by: User, now: datetime.datetime) -> None:
    """Go on with a print that failed or that nobody seems to be at work on; papers made already stay."""
    if not may_manage(by):
        raise NotAllowed(_("Only a lab manager prints the tickets of a day."))
    fresh = PrintRun.objects.select_for_update().get(pk=run.pk)
    if fresh.state != RunState.FAILED and not is_silent(fresh, now=now):
        raise Conflict(_("These papers are being made, or are made already."))
    PrintRun.objects.filter(pk=run.pk).update(
        state=RunState.QUEUED,
        asked_at=now,
        attempt=F("attempt") + 1,
        beat_at=None,
        finished_at=None,
        failure="",
    )
    PrintLine.objects.filter(run=run).exclude(failure="").update(failure="")
    _enqueue(run.pk, fresh.attempt + 1)


@task()
def print_papers(*, pk: int, attempt: int) -> str:
    """Make the papers of a run one by one. Runs in the worker; begun again, it finds the papers made before."""
    run = _take_up(pk, attempt)
    if run is None:
        return "not taken up: made already, or begun anew"
    try:
        laid = _make(run)
        if laid is None:
            return "given up: begun anew meanwhile"
        printed = together(laid) if laid else None
    except Exception as error:
        _end(pk, attempt, RunState.FAILED, failure=one_line(f"{type(error).__name__}: {error}")[:400])
        raise
    if printed is None:
        _end(pk, attempt, RunState.FAILED, failure=_("None of the papers could be made."))
        return "no paper could be made"
    _end(pk, attempt, RunState.READY, pdf=printed.pdf, pages=printed.pages)
    return f"{len(laid)} papers, {printed.pages} pages"


def _take_up(pk: int, attempt: int) -> PrintRun | None:
    """A job that was given back by a worker that died is taken up in the midst."""
    taken = PrintRun.objects.filter(pk=pk, attempt=attempt, state__in=AT_WORK).update(
        state=RunState.RUNNING, beat_at=Now()
    )
    return PrintRun.objects.select_related("asked_by").get(pk=pk) if taken else None


def _make(run: PrintRun) -> list[LaidOut] | None:
    """Every paper laid out, in order; None once another attempt is in charge. A line that fails says why."""
    laid: list[LaidOut] = []
    for line in PrintLine.objects.filter(run=run).select_related("stage__case"):
        now = _beat(run)
        if now is None:
            return None
        try:
            ticket, pages = issue_for_print(stage=line.stage, by=run.asked_by, now=now, paper=run.paper)
        except LabCasesError as error:
            PrintLine.objects.filter(pk=line.pk).update(ticket=None, failure=error.message[:400])
        else:
            PrintLine.objects.filter(pk=line.pk).update(ticket=ticket, failure="")
            laid.append(pages)
    return laid


def _beat(run: PrintRun) -> datetime.datetime | None:
    """Say that the work goes on, and when, by the database's clock; None where it is no longer this attempt's."""
    mine = PrintRun.objects.filter(pk=run.pk, attempt=run.attempt, state=RunState.RUNNING)
    return mine.values_list("beat_at", flat=True).first() if mine.update(beat_at=Now()) else None


def _end(pk: int, attempt: int, state: str, *, failure: str = "", pdf: bytes = b"", pages: int = 0) -> None:
    PrintRun.objects.filter(pk=pk, attempt=attempt, state=RunState.RUNNING).update(
        state=state, finished_at=Now(), failure=failure, pdf=pdf, pages=pages
    )
