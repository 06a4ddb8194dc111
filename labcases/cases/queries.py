"""Reads of cases that are more than a filter."""

import datetime

from django.db.models import Count, QuerySet

from labcases.cases.choices import OPEN_STATES, CaseState, Place, StageKind, StageState
from labcases.cases.models import Case, ChecklistStep, Event, PathStep, Return, Stage
from labcases.cases.numbers import CaseNumberError, parse_case_number
from labcases.cases.rules import usual_path
from labcases.people.models import User
from labcases.prosthodontics.specification.steps import USUAL_STEPS


def path_for(kind: str) -> tuple[StageKind, ...]:
    """The laboratory's own path for a kind of case, or the delivered one."""
    own = PathStep.objects.filter(case_kind=kind).values_list("stage_kind", flat=True)
    return tuple(StageKind(stage_kind) for stage_kind in own) or usual_path(kind)


def checklist_for(stage_kind: str) -> tuple[str, ...]:
    """The laboratory's own checklist for a kind of stage, or the trade's usual steps."""
    own = ChecklistStep.objects.filter(stage_kind=stage_kind).values_list("text", flat=True)
    return tuple(own) or tuple(USUAL_STEPS.get(stage_kind, ()))


def steps_of(stage: Stage) -> list[str]:
    """The texts of a stage's checklist: its own copy once it was started, else the laboratory's list of today."""
    return [step.text for step in stage.steps.all()] or list(checklist_for(stage.kind))


def case_by_number(user: User, text: str) -> Case:
    """The case that a typed or scanned number means.

    Raises CaseNumberError for a number that cannot be one and Case.DoesNotExist for one that this person
    cannot see, whether or not it exists.
    """
    return Case.objects.visible_to(user).with_current_stage().get(number=parse_case_number(text))


def looks_like_a_case_number(text: str) -> bool:
    try:
        parse_case_number(text)
    except CaseNumberError:
        return False
    return True


def stages_of(case: Case) -> list[Stage]:
    return list(case.stages.select_related("assignee", "finished_by").order_by("position"))


def events_of(case: Case) -> QuerySet[Event]:
    return case.events.select_related("by", "stage", "stage__case").order_by("-at", "-pk")


def last_event(stage: Stage) -> Event | None:
    return stage.events.select_related("by").order_by("-at", "-pk").first()


def returns_of(case: Case) -> QuerySet[Return]:
    return case.returns.select_related("from_stage", "to_stage", "by", "from_stage__case", "to_stage__case")


def stages_to_return_to(case: Case) -> list[Stage]:
    """Earlier laboratory stages that the case's work can be sent back to, the latest of each kind, last first."""
    last = stage_to_return_from(case)
    if last is None:
        return []
    earlier = case.stages.filter(
        place=Place.LABORATORY, position__lt=last.position, state__in=[StageState.DONE, StageState.RETURNED]
    ).exclude(kind=last.kind)
    latest = {stage.kind: stage for stage in earlier.select_related("case").order_by("position")}
    return sorted(latest.values(), key=lambda stage: -stage.position)


def stage_to_return_from(case: Case) -> Stage | None:
    """Where a return starts: the current stage, or the last finished one of a complete case."""
    if case.state == CaseState.OPEN:
        return case.current_stage
    if case.state == CaseState.COMPLETE:
        return case.stages.filter(state=StageState.DONE).order_by("position").last()
    return None


def crossings_left(case: Case) -> int:
    """How often the case still goes over to the clinic."""
    return case.stages.filter(place=Place.CLINIC, state__in=OPEN_STATES).count()


def workload(on: datetime.date) -> dict[int, int]:
    """Open stages planned for a day or due by it, per assignee's id."""
    counted = (
        Stage.objects.open()
        .filter(assignee__isnull=False, due_on__lte=on)
        .values_list("assignee")
        .annotate(count=Count("pk"))
    )
    return dict(counted)
