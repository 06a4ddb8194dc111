"""Reads of tickets: by the code on the paper, the newest of a stage, and whether a paper still says what holds."""

import datetime
from dataclasses import dataclass

from django.db.models import Max, Min, Q, QuerySet
from django.utils.translation import gettext as _

from labcases.cases.models import Stage
from labcases.measurements.models import Specification
from labcases.measurements.queries import current_specification
from labcases.people.models import User
from labcases.tickets.choices import AT_WORK, RunState
from labcases.tickets.codes import parse_code
from labcases.tickets.gathering import changes_in_words
from labcases.tickets.models import PrintLine, PrintRun, WorkTicket

# A worker makes a paper in some seconds; after this long without a word it is taken for dead.
SILENCE = datetime.timedelta(seconds=90)


@dataclass(frozen=True)
class PaperState:
    """Whether a paper is still good: its revision, the one that holds, and what the newer one says otherwise."""

    ticket: WorkTicket
    revision: int | None
    current_revision: int | None
    changes: tuple[str, ...]
    newer: WorkTicket | None

    @property
    def is_old(self) -> bool:
        return self.revision != self.current_revision

    @property
    def message(self) -> str:
        """One sentence for who holds the paper; empty while it is good."""
        if not self.is_old:
            return ""
        if self.revision is None:
            words = _("This paper has no specification; revision {number} has been issued since.")
            return words.format(number=self.current_revision)
        return _("This paper is revision {number}, revision {current} is current.").format(
            number=self.revision, current=self.current_revision
        )


def visible_tickets(user: User) -> QuerySet[WorkTicket]:
    """The tickets of stages that this person may see, without their bytes."""
    return (
        WorkTicket.objects.filter(stage__in=Stage.objects.visible_to(user))
        .select_related("stage__case__practice", "specification", "issued_by")
        .defer("pdf")
    )


def ticket_by_code(user: User, text: str) -> WorkTicket:
    """The ticket that a scanned or typed code means.

    Raises CodeError for what is no code, and WorkTicket.DoesNotExist for a ticket that this person cannot see,
    whether or not there is one.
    """
    return visible_tickets(user).get(code=parse_code(text))


def ticket_seen_by(user: User, pk: int) -> WorkTicket:
    return visible_tickets(user).get(pk=pk)


def tickets_of(stage: Stage) -> QuerySet[WorkTicket]:
    """All papers of a stage, the newest first."""
    return (
        stage.tickets.select_related("specification", "issued_by").defer("pdf").order_by("-issued_at", "-pk")
    )


def current_ticket(stage: Stage) -> WorkTicket | None:
    return tickets_of(stage).first()


def paper_state(ticket: WorkTicket) -> PaperState:
    current = current_specification(ticket.stage.case, ticket.stage.kind)
    newest = current_ticket(ticket.stage)
    return PaperState(
        ticket=ticket,
        revision=ticket.specification.revision if ticket.specification else None,
        current_revision=current.revision if current else None,
        changes=_changes(ticket.specification, current),
        newer=newest if newest and newest.pk != ticket.pk else None,
    )


def _changes(printed: Specification | None, current: Specification | None) -> tuple[str, ...]:
    if printed is None or current is None or printed.pk == current.pk:
        return ()
    return changes_in_words(printed, current)


def stages_to_print(user: User, *, day: datetime.date) -> QuerySet[Stage]:
    """The work of a day: what is at the bench and due or planned by then, in bench order."""
    wanted = Q(due_on__lte=day) | Q(planned_on__lte=day)
    return Stage.objects.visible_to(user).at_bench().filter(wanted).with_case().in_bench_order()


def print_run_by_id(pk: int) -> PrintRun | None:
    return PrintRun.objects.select_related("asked_by").defer("pdf").filter(pk=pk).first()


def print_runs_since(moment: datetime.datetime) -> QuerySet[PrintRun]:
    """The prints asked for since then, the newest first."""
    return PrintRun.objects.filter(asked_at__gte=moment).select_related("asked_by").defer("pdf")


def lines_of(run: PrintRun) -> list[PrintLine]:
    lines = PrintLine.objects.filter(run=run).select_related("stage__case__practice", "ticket__stage__case")
    return list(lines.defer("ticket__pdf").order_by("position"))


def runs_asked_together(run: PrintRun) -> list[PrintRun]:
    """This run and those of the same press of a button, in order, each with its `first` and `last` position."""
    runs = PrintRun.objects.filter(asked_at=run.asked_at, asked_by=run.asked_by_id).defer("pdf")
    positions = {"first": Min("lines__position"), "last": Max("lines__position")}
    return list(runs.annotate(**positions).order_by("first"))


def is_silent(run: PrintRun, *, now: datetime.datetime) -> bool:
    """Whether nobody seems to be at work on it: no worker took it up, or the one that did has died.

    A run that waits for its turn is not silent while there is work on another.
    """
    if run.state not in AT_WORK:
        return False
    heard = run.beat_at or max(run.asked_at, _last_beat() or run.asked_at)
    return now - heard > SILENCE


def _last_beat() -> datetime.datetime | None:
    return PrintRun.objects.filter(state=RunState.RUNNING).aggregate(last=Max("beat_at"))["last"]
