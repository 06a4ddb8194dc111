"""Standard times: the laboratory's own or the delivered ones, and what finished stages really took."""

import datetime
import math
import statistics
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from labcases.cases.choices import Act, Place, StageKind, StageState
from labcases.cases.models import Event, Stage
from labcases.planning import models
from labcases.planning.scheduling.times import USUAL_TIMES, StandardTime
from labcases.planning.working_time import WorkingCalendar
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words

# Fewer finished stages than this say little; they are shown, and not offered for adoption.
ENOUGH = 5
# Older work was done another way; and of much work the newest says enough.
LOOK_BACK = datetime.timedelta(days=365)
MOST = 2000

OWN_TIME = Source(Words("set by this laboratory"), Provenance.COMMON, "M")


def standard_times() -> dict[str, StandardTime]:
    """The time that holds for each kind of laboratory stage."""
    own = {row.stage_kind: plain_time(row) for row in models.StandardTime.objects.all()}
    return {**USUAL_TIMES, **own}


def stored_times() -> dict[str, models.StandardTime]:
    return {row.stage_kind: row for row in models.StandardTime.objects.select_related("changed_by")}


def plain_time(row: models.StandardTime) -> StandardTime:
    source = OWN_TIME
    if row.adopted_from:
        source = Source(_median_of(row.adopted_from), Provenance.DERIVED, "H")
    return StandardTime(
        row.stage_kind,
        row.hands_on_minutes,
        row.waiting_minutes,
        row.finishing_minutes,
        row.lab_days,
        row.skill,
        row.one_arch_percent,
        source,
    )


def _median_of(count: int) -> Any:
    """In the language of whoever reads it: standard times are part of a plan, which is kept for all."""
    return format_lazy(_("median of {count} stages finished in this laboratory"), count=count)


@dataclass(frozen=True)
class OwnTime:
    """Hands-on minutes that finished stages of a kind took, scaled to both arches: median, 80th percentile."""

    stage: str
    count: int
    median: float
    percentile_80: float

    @property
    def is_enough(self) -> bool:
        return self.count >= ENOUGH


def own_times(calendar: WorkingCalendar, *, now: datetime.datetime) -> dict[str, OwnTime]:
    """What the laboratory's own finished stages took, by kind: those of the last year, of more than 2,000 the newest.

    From start to finish in working minutes, less holds and less as much of the standard wait as fits in: the
    clock does not know when hands rested, so these are upper figures.
    """
    times = standard_times()
    taken: dict[str, list[float]] = defaultdict(list)
    stages = Stage.objects.filter(
        place=Place.LABORATORY,
        state=StageState.DONE,
        started_at__isnull=False,
        finished_at__gte=now - LOOK_BACK,
    ).select_related("case")
    stages = list(stages.order_by("-finished_at")[:MOST])
    holds = _holds(stages)
    for stage in stages:
        time = times.get(stage.kind)
        if time is None or stage.started_at is None or stage.finished_at is None:
            continue
        minutes = calendar.minutes_between(stage.started_at, stage.finished_at)
        minutes -= sum(calendar.minutes_between(start, end) for start, end in holds.get(stage.pk, ()))
        minutes -= _wait_within(stage, time, calendar)
        share = 100 if len(stage.case.arch_names) > 1 else time.one_arch_percent
        taken[stage.kind].append(max(1.0, minutes) * 100 / share)
    return {kind: _summary(kind, found) for kind, found in taken.items()}


def _wait_within(stage: Stage, time: StandardTime, calendar: WorkingCalendar) -> float:
    """How much of the standard wait lay in working time, if hands were busy for the standard time before it."""
    assert stage.started_at is not None
    assert stage.finished_at is not None
    begin = calendar.add_minutes(stage.started_at, time.hands_on)
    end = min(begin.astimezone(datetime.UTC) + datetime.timedelta(minutes=time.waiting), stage.finished_at)
    return max(0.0, calendar.minutes_between(begin, end))


def _holds(stages: list[Stage]) -> Mapping[int, list[tuple[datetime.datetime, datetime.datetime]]]:
    """When stages were on hold, by their id, from the log."""
    found: dict[int, list[tuple[datetime.datetime, datetime.datetime]]] = defaultdict(list)
    begun: dict[int, datetime.datetime] = {}
    events = Event.objects.filter(stage__in=[stage.pk for stage in stages], act__in=[Act.HELD, Act.RESUMED])
    for stage, act, at in events.order_by("at", "pk").values_list("stage_id", "act", "at"):
        if act == Act.HELD:
            begun[stage] = at
        elif stage in begun:
            found[stage].append((begun.pop(stage), at))
    return found


def _summary(kind: str, minutes: list[float]) -> OwnTime:
    ordered = sorted(minutes)
    # The nearest-rank percentile: a time that really occurred.
    rank = max(1, math.ceil(0.8 * len(ordered)))
    return OwnTime(kind, len(ordered), statistics.median(ordered), ordered[rank - 1])


def laboratory_kinds() -> tuple[StageKind, ...]:
    """The kinds of stage that a laboratory works on, in the order of the usual paths."""
    return tuple(kind for kind in StageKind if kind.place == Place.LABORATORY)
