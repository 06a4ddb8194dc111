"""All that a plan of the open work is made from, read at once as plain values.

Equal values make equal plans. So a plan may be kept for as long as they are the same, and nobody has to remember to
throw it away: whatever is planned, shown or said of a plan must come from here and from nowhere else.
"""

import datetime
from collections.abc import Collection, Mapping
from typing import NamedTuple

from django.db.models import F
from django.utils import timezone
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from labcases.cases.choices import Arches, CaseState, StageKind, StageState
from labcases.cases.models import Case, Stage
from labcases.people.queries import bench_people
from labcases.planning.queries.calendars import Hours, absences_from, closed_reasons, read_hours, transports
from labcases.planning.queries.times import standard_times
from labcases.planning.scheduling.times import StandardTime
from labcases.planning.working_time import Absence, Transport

STAGE_LABELS = dict(StageKind.choices)


class PersonOnPlan(NamedTuple):
    """Somebody to whom work can be given; a technician without recorded skills has them all."""

    pk: int
    display_name: str
    is_technician: bool
    known_skills: frozenset[str]

    def __str__(self) -> str:
        return self.display_name

    @property
    def skills(self) -> frozenset[str] | None:
        """None means every skill."""
        return None if self.is_technician and not self.known_skills else self.known_skills


class Weight(NamedTuple):
    weight: int


class Planned(NamedTuple):
    person_id: int
    pinned: bool


class CaseOnPlan(NamedTuple):
    """An open case, by the names that its row has."""

    pk: int
    number: str
    kind: str
    arches: str
    location: str
    practice_id: int
    practice: str
    practice_code: str
    own_weight: int | None

    @property
    def arch_names(self) -> tuple[str, ...]:
        return Arches(self.arches).each

    @property
    def weight(self) -> Weight | None:
        return None if self.own_weight is None else Weight(self.own_weight)


class StageOnPlan(NamedTuple):
    """An open stage, by the names that its row has."""

    pk: int
    case_id: int
    kind: str
    place: str
    visit: int
    position: int
    state: str
    assignee_id: int | None
    assignee: str | None
    planned_on: datetime.date | None
    due_on: datetime.date | None
    started_at: datetime.datetime | None
    version: int
    planned_for: int | None
    pinned: bool | None

    @property
    def label(self) -> str:
        """In the language of whoever reads it, whenever that is: one plan is kept for all."""
        name = STAGE_LABELS[self.kind]
        if self.visit == 1:
            return name
        return format_lazy(_("{stage}, visit {visit}"), stage=name, visit=self.visit)

    @property
    def planned_work(self) -> Planned | None:
        return None if self.planned_for is None else Planned(self.planned_for, bool(self.pinned))

    @property
    def is_begun(self) -> bool:
        return self.state != StageState.WAITING


CASE_COLUMNS = (
    "pk",
    "number",
    "kind",
    "arches",
    "location",
    "practice_id",
    "practice__name",
    "practice__code",
    "weight__weight",
)
STAGE_COLUMNS = (
    *(
        "pk",
        "case_id",
        "kind",
        "place",
        "visit",
        "position",
        "state",
        "assignee_id",
        "assignee__display_name",
    ),
    *("planned_on", "due_on", "started_at", "version", "planned_work__person_id", "planned_work__pinned"),
)
OpenCase = tuple[CaseOnPlan, tuple[StageOnPlan, ...]]


class Basis(NamedTuple):
    """`everyone` are all to whom work can be given, `cases` the open ones in order of their numbers.

    `absences` are those that have not ended before the day that it was read for.
    """

    zone: datetime.tzinfo
    hours: Hours
    closed: Mapping[datetime.date, str]
    times: Mapping[str, StandardTime]
    transports: Mapping[int, Transport]
    everyone: tuple[PersonOnPlan, ...]
    absences: Mapping[int, tuple[Absence, ...]]
    cases: tuple[OpenCase, ...]

    @property
    def at_the_bench(self) -> list[PersonOnPlan]:
        """Whom a plan counts with: technicians, and managers with a recorded skill or with work of their own."""
        busy = {stage.assignee_id for _, stages in self.cases for stage in stages}
        return [one for one in self.everyone if one.is_technician or one.known_skills or one.pk in busy]


def read_basis(*, now: datetime.datetime) -> Basis:
    """Eight reads, whatever there is."""
    zone = timezone.get_default_timezone()
    return Basis(
        zone,
        read_hours(),
        closed_reasons(),
        standard_times(),
        transports(),
        people_with_skills(),
        absences_from(now.astimezone(zone).date()),
        open_cases(),
    )


def people_with_skills() -> tuple[PersonOnPlan, ...]:
    """Everybody to whom work can be given, in one read."""
    found: dict[int, PersonOnPlan] = {}
    for row in bench_people().annotate(skill=F("skills__skill")):
        known = found[row.pk].known_skills if row.pk in found else frozenset()
        known |= {row.skill} if row.skill else frozenset()
        found[row.pk] = PersonOnPlan(row.pk, row.display_name, row.is_technician, known)
    return tuple(found.values())


def open_cases() -> tuple[OpenCase, ...]:
    """Open cases that have open stages, with these in order of the path."""
    still_open = Case.objects.still_open().order_by().values_list("state", *CASE_COLUMNS)
    cases = [CaseOnPlan(*row) for state, *row in still_open if state == CaseState.OPEN]
    stages = _open_stages({case.pk for case in cases})
    by_number = sorted(cases, key=lambda case: case.number)
    return tuple((case, tuple(stages[case.pk])) for case in by_number if stages[case.pk])


def _open_stages(cases: Collection[int]) -> dict[int, list[StageOnPlan]]:
    # By their keys, for the stages of cases closed long ago are many times more.
    rows = Stage.objects.open().filter(case__in=sorted(cases)).order_by("case_id", "position")
    found: dict[int, list[StageOnPlan]] = {pk: [] for pk in cases}
    for row in rows.values_list(*STAGE_COLUMNS):
        stage = StageOnPlan(*row)
        found[stage.case_id].append(stage)
    return found
