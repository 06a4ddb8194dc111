"""The background work of a proposal: improve it, report that it goes on, and leave the result or the failure."""

import datetime

from django.db import transaction
from django.db.models import F
from django.db.models.functions import Now
from django_tasks import task

from labcases.planning.actions.results import work_out, write_result
from labcases.planning.choices import ProposalState
from labcases.planning.models import Proposal
from labcases.planning.queries.calendars import laboratory_calendar
from labcases.planning.queries.load import read_load
from labcases.planning.queries.proposals import stop_is_asked
from labcases.planning.scheduling.improving import Progress, improve

BEAT = 1.0  # seconds between two signs of life


@task()
def improve_proposal(*, pk: int, attempt: int) -> str:
    """Improve a proposal within its time limit. Runs in the worker process; its failure is kept and shown."""
    proposal = _take_up(pk, attempt)
    if proposal is None:
        return "not taken up: stopped, decided or begun anew meanwhile"
    try:
        load = read_load(now=proposal.asked_at, days=_days(proposal))
        beat = _Beat(pk, attempt)
        improved = improve(
            load.problem,
            seconds=proposal.seconds,
            seed=pk,
            should_stop=lambda: stop_is_asked(pk, attempt),
            on_progress=beat,
        )
        result = work_out(load, improved.plan, greedy_cost=improved.greedy_cost, bound=improved.bound)
        with transaction.atomic():
            if _finish(pk, attempt, ProposalState.READY):
                write_result(result, proposal=proposal)
    except Exception as error:
        _finish(pk, attempt, ProposalState.FAILED, failure=f"{type(error).__name__}: {error}"[:400])
        raise
    except BaseException:
        # The worker has to end; whoever takes the job up next begins it again.
        _put_back(pk, attempt)
        raise
    return "stopped" if improved.stopped else "done"


def _days(proposal: Proposal) -> int:
    """The working days asked for are kept by the proposal's lines; the planner counts them afresh."""
    last = proposal.last_day + datetime.timedelta(days=1)
    return max(1, laboratory_calendar().working_days_between(proposal.first_day, last))


@transaction.atomic
def _take_up(pk: int, attempt: int) -> Proposal | None:
    taken = Proposal.objects.filter(
        pk=pk, attempt=attempt, state=ProposalState.QUEUED, stop_asked_at__isnull=True
    ).update(state=ProposalState.RUNNING, beat_at=Now(), version=F("version") + 1)
    return Proposal.objects.get(pk=pk) if taken else None


@transaction.atomic
def _finish(pk: int, attempt: int, state: str, *, failure: str = "") -> bool:
    """End this attempt, if it is still the one in charge."""
    return bool(
        Proposal.objects.filter(pk=pk, attempt=attempt, state=ProposalState.RUNNING).update(
            state=state, finished_at=Now(), failure=failure, version=F("version") + 1
        )
    )


@transaction.atomic
def _put_back(pk: int, attempt: int) -> None:
    Proposal.objects.filter(pk=pk, attempt=attempt, state=ProposalState.RUNNING).update(
        state=ProposalState.QUEUED, beat_at=None, version=F("version") + 1
    )


class _Beat:
    """Says about once a second that the work goes on, and how far it has come."""

    def __init__(self, pk: int, attempt: int) -> None:
        self.pk, self.attempt, self.last = pk, attempt, -BEAT

    def __call__(self, progress: Progress) -> None:
        if progress.seconds - self.last < BEAT:
            return
        self.last = progress.seconds
        Proposal.objects.filter(pk=self.pk, attempt=self.attempt, state=ProposalState.RUNNING).update(
            beat_at=Now(), progress_seconds=progress.seconds, cost=progress.cost, bound=progress.bound
        )
