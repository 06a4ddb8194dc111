"""Reads of cases that are more than a filter."""

import datetime
from collections.abc import Iterable

from django.conf import settings
from django.db.models import (
    Count,
    Exists,
    F,
    OuterRef,
    Prefetch,
    Q,
    QuerySet,
    Subquery,
    prefetch_related_objects,
)
from django.db.models.functions import Coalesce
from django.utils import translation

from labcases.cases.choices import (
    IMPORTS_AT_WORK,
    TOLD_TO_THE_PRACTICE,
    Act,
    CaseKind,
    CaseState,
    ImportState,
    LineState,
    Place,
    StageKind,
    StageState,
)
from labcases.cases.models import (
    Case,
    CaseImport,
    ChecklistStep,
    Event,
    ImportHeading,
    ImportLine,
    PathStep,
    Return,
    Stage,
)
from labcases.cases.numbers import parse_case_number
from labcases.cases.querysets import StageQuerySet
from labcases.cases.rules import usual_path
from labcases.cases.searching import find
from labcases.people.models import User
from labcases.prosthodontics.specification.steps import USUAL_STEPS

# What can be taken back by one tap, and for how long. An unticked step is ticked again by the same tap as before.
UNDO_WITHIN = datetime.timedelta(seconds=30)
UNDOABLE = (Act.STARTED, Act.FINISHED, Act.HELD, Act.STEP_TICKED)
# A worker says with every few rows that it lives; after this long without a word it is taken for dead.
IMPORT_SILENCE = datetime.timedelta(seconds=60)
IMPORT_AT_ONCE = datetime.timedelta(minutes=10)


def path_for(kind: str) -> tuple[StageKind, ...]:
    """The laboratory's own path for a kind of case, or the delivered one."""
    own = PathStep.objects.filter(case_kind=kind).values_list("stage_kind", flat=True)
    return tuple(StageKind(stage_kind) for stage_kind in own) or usual_path(kind)


def every_path() -> dict[str, tuple[StageKind, ...]]:
    """`path_for` every kind of case, in one query."""
    own: dict[str, list[StageKind]] = {kind: [] for kind in CaseKind.values}
    for kind, stage_kind in PathStep.objects.order_by("position").values_list("case_kind", "stage_kind"):
        own[kind].append(StageKind(stage_kind))
    return {kind: tuple(steps) or usual_path(kind) for kind, steps in own.items()}


def checklist_for(stage_kind: str) -> tuple[str, ...]:
    """The laboratory's own checklist for a kind of stage, or the trade's usual steps in its language."""
    own = ChecklistStep.objects.filter(stage_kind=stage_kind).values_list("text", flat=True)
    with translation.override(settings.LANGUAGE_CODE):
        return tuple(own) or tuple(str(step) for step in USUAL_STEPS.get(stage_kind, ()))


def own_checklists() -> dict[str, int]:
    """The kinds of stage that have a checklist of the laboratory's own, with its number of steps."""
    counted = ChecklistStep.objects.order_by().values_list("stage_kind").annotate(count=Count("pk"))
    return dict(counted)


def steps_of(stage: Stage) -> list[str]:
    """The texts of a stage's checklist: its own copy once it was started, else the laboratory's list of today."""
    return [step.text for step in stage.steps.all()] or list(checklist_for(stage.kind))


def case_by_number(user: User, text: str) -> Case:
    """The case that a typed or scanned number means.

    Raises CaseNumberError for a number that cannot be one and Case.DoesNotExist for one that this person
    cannot see, whether or not it exists.
    """
    found = Case.objects.visible_to(user).with_current_stage().select_related("signed_by")
    return found.get(number=parse_case_number(text))


def cases_for(user: User) -> QuerySet[Case]:
    """Every case that this person may see, with what a list shows of it, by the day it is due."""
    return Case.objects.visible_to(user).with_current_stage().by_due()


def find_cases(
    user: User,
    *,
    today: datetime.date,
    text: str = "",
    state: str = "open",
    practice: int | None = None,
    where: str = "",
    person: str = "",
    stage: str = "",
    late: bool = False,
) -> QuerySet[Case]:
    """Cases by what the list's filters say; an empty filter filters nothing.

    `state` is "open" (anything not closed), "all" or a state; `person` an id, or "nobody". Open cases come by the
    day they are due; where closed ones may be among them, the newest come first, and of a searched text the newest.
    """
    mine = Case.objects.visible_to(user)
    # Only an open case is at a stage or with a person; said aloud, the database need not look through the closed.
    if state == "open" or (state == "all" and (person or stage)):
        mine = mine.still_open()
    elif state != "all":
        mine = mine.filter(state=state)
    found = find(mine, text) if reaches_the_archive(state) else mine.search(text)
    if person == "nobody":
        found = found.unassigned()
    elif person:
        found = found.filter(current_stage__assignee=person)
    named = {"practice": practice, "location": where, "current_stage__kind": stage}
    found = found.filter(**{name: value for name, value in named.items() if value})
    found = found.late(today) if late else found
    ordered = found.newest_first() if reaches_the_archive(state) else found.by_due()
    return ordered.with_current_stage()


def reaches_the_archive(state: str) -> bool:
    """Whether a list of `find_cases` may be as long as the laboratory is old."""
    return state not in ("open", CaseState.OPEN, CaseState.INCOMPLETE)


def completed_cases(user: User) -> QuerySet[Case]:
    """What this person saw completed, in no order yet: those of a practice are read by when they were."""
    # Said aloud, since others of the practice have no such moment and come first in its index.
    return Case.objects.visible_to(user).filter(state=CaseState.COMPLETE, completed_at__isnull=False)


def cases_to_decide(user: User, *, today: datetime.date, soon: datetime.date) -> QuerySet[Case]:
    """Open cases that wait for the office for one of the reasons of `rules.decisions`, and no others."""
    mine = Case.objects.visible_to(user).still_open()
    opening = Return.objects.filter(
        case=OuterRef("pk"),
        visit=OuterRef("current_stage__visit"),
        to_stage__kind=OuterRef("current_stage__kind"),
    )
    came_back = mine.filter(
        Exists(opening), current_stage__place=Place.LABORATORY, current_stage__state=StageState.WAITING
    )
    found = (
        mine.late(today)
        | mine.due_by(today, soon)
        | mine.overdue_at_clinic(today)
        | came_back
        | mine.filter(state=CaseState.INCOMPLETE)
        | mine.unsigned()
        | mine.undated()
        | mine.unassigned()
        | mine.to_receive()
        | mine.to_hand_over()
    )
    # Said once more for all of them: of reasons joined by OR no database takes out what they have in common.
    found = found.still_open()
    return found.with_current_stage().by_due().prefetch_related("returns__to_stage", "stages")


def changes_unsigned(cases: Iterable[Case]) -> QuerySet[Event]:
    """What was changed in each of these prescriptions, the newest last: what there is to sign again."""
    changes = Event.objects.filter(act__in=[Act.PRESCRIPTION_CHANGED, Act.PRESCRIBED])
    return changes.filter(case__in=list(cases)).select_related("by").order_by("at", "pk")


def cases_by_number(user: User, numbers: Iterable[str]) -> dict[str, Case]:
    """Visible cases by their number, each with its current stage."""
    found = Case.objects.visible_to(user).with_current_stage().filter(number__in=list(numbers))
    return {case.number: case for case in found}


def bench_stages(user: User) -> StageQuerySet:
    """What can be worked on at the bench now, in bench order, with the cause of the return that opened its visit."""
    opened_by = Return.objects.filter(case=OuterRef("case"), visit=OuterRef("visit"))
    found = Stage.objects.visible_to(user).at_bench().with_case().in_bench_order()
    return found.annotate(return_cause=Subquery(opened_by.values("cause")[:1]))


def stages_seen(user: User, versions: dict[int, int]) -> list[tuple[Stage, int]]:
    """Visible stages by id, each with the version in which the person saw it."""
    found = Stage.objects.visible_to(user).with_case().filter(pk__in=versions)
    return [(stage, versions[stage.pk]) for stage in found]


def ticked_stages(user: User, pks: Iterable[int]) -> list[Stage]:
    """Visible stages by id, each with its case and all of the case's stages, the first due first."""
    found = Stage.objects.visible_to(user).with_case().filter(pk__in=list(pks))
    return list(found.prefetch_related("case__stages").order_by(F("due_on").asc(nulls_last=True), "pk"))


def imports() -> QuerySet[CaseImport]:
    """Files of cases, the newest first, each with how many rows it has and how many were taken in."""
    # Counted apart for each file that is shown: joined, the rows of all files ever would be counted first.
    lines = ImportLine.objects.filter(case_import=OuterRef("pk")).order_by().values("case_import")
    rows = Subquery(lines.annotate(count=Count("pk")).values("count"))
    taken = Subquery(lines.filter(state=LineState.TAKEN).annotate(count=Count("pk")).values("count"))
    found = CaseImport.objects.select_related("made_by", "practice")
    return found.annotate(rows=Coalesce(rows, 0), taken=Coalesce(taken, 0))


def import_by_id(pk: int) -> CaseImport | None:
    return imports().filter(pk=pk).first()


def same_file_taken_in(case_import: CaseImport) -> CaseImport | None:
    """Another import of just these bytes from which cases were taken in."""
    return imports().filter(sha256=case_import.sha256, taken__gt=0).exclude(pk=case_import.pk).first()


def line_counts(case_import: CaseImport) -> dict[str, int]:
    """How many rows of a file are in each state."""
    counted = case_import.lines.order_by().values_list("state").annotate(count=Count("pk"))
    return dict(counted)


def import_lines(case_import: CaseImport, states: Iterable[str]) -> QuerySet[ImportLine]:
    return case_import.lines.filter(state__in=list(states)).select_related("case").order_by("position")


def remembered_headings(headings: Iterable[str]) -> dict[str, str]:
    """What columns of these headings meant in the last file, by heading in lower case."""
    wanted = [heading[:200].casefold() for heading in headings]
    return dict(ImportHeading.objects.filter(heading__in=wanted).values_list("heading", "field"))


def orders_here(numbers: Iterable[str]) -> dict[tuple[int, str], Case]:
    """Cases by practice and order number, among these numbers; cancelled ones are not here."""
    wanted = [number for number in numbers if number]
    found = Case.objects.filter(order_number__in=wanted).exclude(state=CaseState.CANCELLED)
    return {(case.practice_id, case.order_number): case for case in found}


def may_import_be_tried_again(case_import: CaseImport, *, now: datetime.datetime) -> bool:
    """Whether nobody seems to be at work on it: no worker took it up, or the one that did has died."""
    if case_import.state not in IMPORTS_AT_WORK:
        return False
    # Taken in all at once, it can say nothing until it ends.
    silence = IMPORT_AT_ONCE if _is_taken_at_once(case_import) else IMPORT_SILENCE
    return now - (case_import.beat_at or case_import.made_at) > silence


def _is_taken_at_once(case_import: CaseImport) -> bool:
    return case_import.state == ImportState.TAKING and not case_import.one_by_one


def with_stages(case: Case) -> Case:
    """The case with its stages read once, in path order, for everything that asks `case.stages.all()`."""
    stages = Stage.objects.select_related("assignee", "finished_by").order_by("position")
    prefetch_related_objects([case], Prefetch("stages", queryset=stages))
    return case


def stages_of(case: Case) -> list[Stage]:
    return list(case.stages.select_related("assignee", "finished_by").order_by("position"))


def events_of(case: Case) -> QuerySet[Event]:
    return case.events.select_related("by", "stage", "stage__case").order_by("-position")


def events_told_to_the_practice(case: Case) -> QuerySet[Event]:
    """`events_of` a case by the rule of `is_told_to_the_practice`."""
    acts = [str(act) for act in TOLD_TO_THE_PRACTICE]
    done = ~Q(act=Act.UNDONE) & Q(act__in=acts)
    return events_of(case).filter(done | Q(act=Act.UNDONE, before__act__in=acts))


def last_event(stage: Stage) -> Event | None:
    return stage.events.select_related("by").order_by("-position").first()


def undoable_act(user: User, *, now: datetime.datetime) -> Event | None:
    """What this person did last within half a minute, where nothing has happened to its case since."""
    later = Event.objects.filter(case=OuterRef("case"), position__gt=OuterRef("position"))
    done = Event.objects.filter(~Exists(later), by=user, at__gt=now - UNDO_WITHIN, act__in=UNDOABLE)
    found = done.filter(stage__place=Place.LABORATORY).select_related("stage", "stage__case")
    return found.order_by("-at", "-pk").first()


def event_to_undo(stage: Stage, pk: int) -> Event | None:
    """None for one that is not of this stage."""
    return stage.events.select_related("stage", "stage__case").filter(pk=pk).first()


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
