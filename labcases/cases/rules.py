"""Rules about one case that need only its rows: what a prescription lacks, where the path goes next."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from django.utils import timezone
from django.utils.translation import gettext as _

from labcases.cases.choices import (
    OPEN_STATES,
    TOLD_TO_THE_PRACTICE,
    USUAL_PATHS,
    Act,
    CaseKind,
    CaseState,
    Decision,
    Location,
    Place,
    StageKind,
    StageState,
)
from labcases.cases.models import Case, Event, Stage
from labcases.people.models import Laboratory
from labcases.prosthodontics.wording import Words, in_a_sentence

# What a prescription's own boxes answer; its form lists the same words while it is written.
WORDS = {
    "prescriber": Words("the prescriber"),
    "patient_code": Words("the patient's code"),
    "work_description": Words("a description of the work"),
    "base_material": Words("the denture base material"),
    "wanted_on": Words("the day the work is wanted back"),
    "subcontractor": Words("the subcontractor, or “none”"),
    "signed": Words("the prescriber's signature"),
    "impression_material": Words(
        "the material of the definitive impression (the tray's spacer depends on it)"
    ),
}


@dataclass(frozen=True)
class Missing:
    """One thing a prescription lacks: the form field it belongs to, and words for people."""

    field: str
    words: str


def missing_from_prescription(case: Case, laboratory: Laboratory) -> tuple[Missing, ...]:
    """What must still be written before the case may go to the bench.

    The union of what four states' work authorization laws ask (West Virginia 30-4B-2, Maryland Health
    Occ. 4-403, Mississippi 73-9-55, Oklahoma 59-328.36a), plus the return date (common practice).
    """
    prescriber = case.prescriber
    asked = [
        ("laboratory", _("the laboratory's name and address"), laboratory.name and laboratory.address),
        ("prescriber", WORDS["prescriber"], prescriber),
        ("prescriber", _("the prescriber's licence number"), not prescriber or prescriber.licence_number),
        ("practice", _("the practice's address"), case.practice.address.strip()),
        ("patient_code", WORDS["patient_code"], case.patient_code.strip()),
        ("work_description", WORDS["work_description"], case.work_description.strip()),
        ("base_material", WORDS["base_material"], case.base_material.strip()),
        ("wanted_on", WORDS["wanted_on"], _has_a_date(case)),
        ("subcontractor", WORDS["subcontractor"], case.subcontractor.strip()),
        ("signed", WORDS["signed"], case.signed_at),
    ]
    if StageKind.CUSTOM_TRAY in _open_kinds(case):
        asked.append(("impression_material", WORDS["impression_material"], case.impression_material))
    return tuple(Missing(field, str(words)) for field, words, present in asked if not present)


def _has_a_date(case: Case) -> bool:
    current = case.current_stage
    return current is None or any(
        stage.due_on for stage in case.stages.all() if stage.position >= current.position
    )


def _open_kinds(case: Case) -> set[str]:
    return {stage.kind for stage in case.stages.all() if stage.state in OPEN_STATES}


def usual_path(kind: str) -> tuple[StageKind, ...]:
    return USUAL_PATHS[CaseKind(kind)]


def next_open_stage(stages: Iterable[Stage]) -> Stage | None:
    """The first stage in path order that is neither finished nor skipped."""
    still_open = [stage for stage in stages if stage.state in OPEN_STATES]
    return min(still_open, key=lambda stage: stage.position, default=None)


def kinds_to_repeat(stages: Iterable[Stage], *, to: Stage, last: Stage) -> list[StageKind]:
    """The kinds of stage of the next visit: from `to` up to and with `last`, each once, in path order."""
    order: list[StageKind] = []
    for stage in sorted(stages, key=lambda stage: stage.position):
        kind = StageKind(stage.kind)
        if to.position <= stage.position <= last.position and kind not in order:
            order.append(kind)
    return order[: order.index(StageKind(last.kind)) + 1]


def location_after(case: Case, *, done: Stage, following: Stage | None) -> str:
    """Where the case is once `done` is finished: work done at the clinic sets off for the laboratory.

    Work that lies in the laboratory stays there: its clinic stage was left out before it was handed over.
    """
    goes_back = done.place == Place.CLINIC and following and following.place == Place.LABORATORY
    if goes_back and case.location != Location.LABORATORY:
        return Location.TO_LABORATORY
    return case.location


def may_be_started(case: Case, stage: Stage) -> str:
    """Why a stage cannot be started now, in words; empty when it can."""
    if case.state == CaseState.INCOMPLETE:
        return _("The prescription is incomplete; the case cannot go to the bench.")
    if case.state != CaseState.OPEN:
        return _case_is(case)
    if case.current_stage_id != stage.pk:
        return _("An earlier stage of this case comes first.")
    if stage.place == Place.LABORATORY and case.location != Location.LABORATORY:
        return _("The case has not been received at the laboratory yet.")
    if stage.place == Place.CLINIC and case.location == Location.LABORATORY:
        return _("The case has not been handed to the clinic yet.")
    return ""


def _case_is(case: Case) -> str:
    return _("The case is {state}.").format(state=in_a_sentence(case.get_state_display()))


def why_not_given(stage: Stage) -> str:
    """Why a stage cannot be given to somebody now, in words; empty when it can."""
    case = stage.case
    if not case.is_open:
        return _case_is(case)
    if stage.place != Place.LABORATORY:
        return _("{stage} is done at the clinic.").format(stage=stage.label)
    if stage.state in OPEN_STATES:
        return ""
    return _("It is {state}.").format(state=in_a_sentence(stage.get_state_display()))


def why_not_held(stage: Stage) -> str:
    """Why a stage cannot be put on hold now, in words; empty when it can."""
    if stage.state == StageState.ON_HOLD:
        return _("It is on hold already: {reason}").format(reason=stage.hold_reason)
    if stage.case.state == CaseState.CANCELLED or stage.state != StageState.IN_PROGRESS:
        return _("Only work in progress is put on hold.")
    return ""


def next_visit(stages: Iterable[Stage]) -> Stage | None:
    """The first appointment still to come."""
    return next_open_stage(stage for stage in stages if stage.place == Place.CLINIC)


def why_not_wanted_on(case: Case, day: datetime.date | None = None) -> str:
    """Why the next appointment's day, or just this day of it, cannot be set, in words; empty when it can."""
    if not case.is_open:
        return _case_is(case)
    visit = next_visit(case.stages.all())
    if visit is None:
        return _("No appointment is left.")
    after = [each for each in case.stages.all() if each.place == Place.CLINIC and each.due_on]
    too_early = [each for each in after if day and each.position > visit.position and each.due_on < day]
    return _("{stage} is wanted before that day.").format(stage=too_early[0].label) if too_early else ""


def decisions(case: Case, *, today: datetime.date, soon: datetime.date) -> tuple[Decision, ...]:
    """Why an open case waits for the office, the most pressing reason first.

    `soon` is the last day that counts as near. Reads the case's current stage and its returns.
    """
    if not case.is_open:
        return ()
    stage = case.current_stage
    holding = {
        Decision.INCOMPLETE: case.state == CaseState.INCOMPLETE,
        Decision.UNSIGNED: case.state == CaseState.OPEN and case.signed_at is None,
        Decision.TO_RECEIVE: case.location == Location.TO_LABORATORY,
        **(_decisions_of_stage(case, stage, today=today, soon=soon) if stage else {}),
    }
    return tuple(decision for decision in Decision if holding.get(decision))


def _decisions_of_stage(
    case: Case, stage: Stage, *, today: datetime.date, soon: datetime.date
) -> dict[Decision, bool]:
    due, on_paper = stage.due_on, case.state == CaseState.OPEN
    if stage.place == Place.CLINIC:
        here = case.location == Location.LABORATORY
        return {
            Decision.OVERDUE: bool(due and due < today and on_paper),
            Decision.TO_HAND_OVER: here and on_paper,
        }
    return {
        Decision.LATE: bool(due and due < today),
        Decision.CAME_BACK: _opens_a_visit(case, stage) and stage.state == StageState.WAITING,
        Decision.UNDATED: on_paper and due is None,
        Decision.UNASSIGNED: on_paper and stage.assignee_id is None,
        Decision.SOON: bool(due and today <= due <= soon),
    }


def _opens_a_visit(case: Case, stage: Stage) -> bool:
    return any(back.visit == stage.visit and back.to_stage.kind == stage.kind for back in case.returns.all())


def laboratory_day(moment: datetime.datetime) -> datetime.date:
    """The day that a moment belongs to by the laboratory's own calendar, which UTC may have left or not reached."""
    return moment.astimezone(timezone.get_current_timezone()).date()


def next_working_day(day: datetime.date) -> datetime.date:
    """The next Monday-to-Friday day after `day`."""
    after = day + datetime.timedelta(days=1)
    while after.weekday() >= 5:
        after += datetime.timedelta(days=1)
    return after


def is_told_to_the_practice(event: Event) -> bool:
    """What was taken back is told where the act itself was."""
    act = event.before.get("act") if event.act == Act.UNDONE else event.act
    return act in TOLD_TO_THE_PRACTICE
