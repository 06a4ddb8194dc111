"""One act for many cases: each guarded by itself, what fails is named, the rest is done."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from django.db import transaction
from django.utils.translation import gettext as _

from labcases.cases.actions.crossings import hand_to_clinic, receive_at_laboratory
from labcases.cases.actions.guards import stage_conflict
from labcases.cases.actions.moves import start_stage
from labcases.cases.models import Case
from labcases.measurements.actions.finishing import finish_bench_stage
from labcases.measurements.choices import ForMany
from labcases.measurements.queries import step_for_many
from labcases.people.models import User
from labcases.people.refusals import Refused


@dataclass(frozen=True)
class Line:
    """One case with its current stage as the person saw it; `stage` 0 and `version` 0 where it has none."""

    case: Case
    stage: int
    version: int


@dataclass(frozen=True)
class Disinfected:
    """What was done to everything that came in together; contact times are whole minutes."""

    agent: str
    minutes: int
    minutes_required: int


@dataclass(frozen=True)
class LeftUndone:
    case: Case
    why: str


@transaction.atomic
def do_to_many(
    *,
    lines: Iterable[Line],
    act: str,
    by: User,
    now: datetime.datetime,
    disinfected: Disinfected | None = None,
) -> list[LeftUndone]:
    """Do `act` (of ForMany) to each line; what was not done comes back with why. The others stay done."""
    if act not in ForMany.values:
        raise Refused(_("Choose what is to be done."))
    left: list[LeftUndone] = []
    # In one order for everybody, so that two people's batches cannot wait for each other.
    for line in sorted(lines, key=lambda line: line.case.pk):
        try:
            with transaction.atomic():
                _do(line, act, by=by, now=now, disinfected=disinfected)
        except Refused as refusal:
            left.append(LeftUndone(line.case, refusal.message))
    return left


def _do(line: Line, act: str, *, by: User, now: datetime.datetime, disinfected: Disinfected | None) -> None:
    case, stage = line.case, line.case.current_stage
    if stage is not None and (stage.pk, stage.version) != (line.stage, line.version):
        raise stage_conflict(stage)
    step = step_for_many(case)
    if step.act != act or stage is None:
        raise Refused(step.words)
    if act == ForMany.RECEIVE:
        if disinfected is None:
            raise Refused(_("Say how it was disinfected."))
        receive_at_laboratory(
            case=case,
            agent=disinfected.agent,
            minutes=disinfected.minutes,
            minutes_required=disinfected.minutes_required,
            by=by,
            now=now,
        )
    elif act == ForMany.HAND_OVER:
        hand_to_clinic(case=case, by=by, now=now)
    elif act == ForMany.START:
        start_stage(stage=stage, by=by, expected_version=line.version, now=now)
    else:
        finish_bench_stage(stage=stage, by=by, expected_version=line.version, now=now)
