"""What the office has to decide now: the question, the cases it is about, and the buttons that answer it."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from labcases.cases.choices import CaseState, Decision, Location, Place
from labcases.cases.queries import cases_to_decide, changes_unsigned
from labcases.cases.rules import decisions, missing_from_prescription, next_working_day
from labcases.pages.answers import page
from labcases.pages.gates import for_managers
from labcases.pages.happenings import happenings
from labcases.people.queries import bench_people, laboratory

# A morning gets through no more of one question; the rest is a press away.
SHOWN_AT_FIRST = 25
QUESTIONS = {
    Decision.LATE: (
        _("Late: another day, or other hands?"),
        _("This should have left the bench. Move the day with the practice, or give the work to somebody."),
    ),
    Decision.OVERDUE: (
        _("Out and silent: how did the visit go?"),
        _("The appointment has passed and the practice has not said how it went."),
    ),
    Decision.UNSIGNED: (
        _("Changed under way: is it signed again?"),
        _("The change took the signature away, and the bench works on. Get it signed, or hold the work."),
    ),
    Decision.CAME_BACK: (
        _("Came back: who does it again?"),
        _("Work to be done again. Look at the cause before it goes to the bench."),
    ),
    Decision.INCOMPLETE: (
        _("Incomplete: what does the practice say?"),
        _("These cannot go to the bench until what is missing is written."),
    ),
    Decision.UNDATED: (
        _("No day: when must it be ready?"),
        _("The next appointment has no day, so nothing makes this work late and no plan pulls it forward."),
    ),
    Decision.UNASSIGNED: (
        _("Nobody has it yet: who takes it?"),
        _("Complete on paper, but nobody has the next stage."),
    ),
    Decision.TO_RECEIVE: (
        _("On its way here: has it come?"),
        _("Take the box in and note its disinfection."),
    ),
    Decision.TO_HAND_OVER: (
        _("Ready for the clinic: does it go out?"),
        _("The bench is done; the clinic is next."),
    ),
    Decision.SOON: (
        _("Due soon: is it on course?"),
        _("Due today or on the next working day. Nothing to do if they are on their way."),
    ),
}


@dataclass(frozen=True)
class Row:
    """One case that waits: why, what else is so, and what answers it."""

    case: Any
    decision: Decision
    others: tuple[Decision, ...]
    missing: tuple[Any, ...]
    came_back: Any
    changed: Any

    @property
    def step(self) -> str:
        """The first thing to do: its name in the template."""
        if self.case.state == CaseState.INCOMPLETE:
            return "complete"
        if self.decision in (Decision.SOON, Decision.UNSIGNED, Decision.UNDATED):
            return {Decision.SOON: "look", Decision.UNSIGNED: "sign", Decision.UNDATED: "dates"}[
                self.decision
            ]
        if self.case.location == Location.TO_LABORATORY:
            return "receive"
        if self.decision == Decision.OVERDUE:
            return "record"
        if self.case.current_stage.place == Place.CLINIC:
            return "hand_over"
        return "assign" if self.case.current_stage.assignee_id is None else "dates"

    @property
    def second(self) -> str:
        """Another answer to the same question; empty where there is but one."""
        if self.decision == Decision.LATE:
            return {"dates": "assign", "assign": "dates", "receive": "dates"}.get(self.step, "")
        return {Decision.OVERDUE: "dates", Decision.UNSIGNED: "prescription"}.get(self.decision, "")


@dataclass(frozen=True)
class Group:
    decision: Decision
    question: str
    lead: str
    rows: list[Row]
    is_whole: bool = False

    @property
    def shown(self) -> list[Row]:
        return self.rows if self.is_whole else self.rows[:SHOWN_AT_FIRST]

    @property
    def kept_back(self) -> int:
        return len(self.rows) - len(self.shown)


@require_safe
@for_managers
def today(request: HttpRequest) -> HttpResponse:
    day = timezone.localdate()
    soon = next_working_day(day)
    found = list(cases_to_decide(request.user, today=day, soon=soon))
    groups = group_by_decision(found, today=day, soon=soon, whole=request.GET.get("all", ""))
    context = {
        "today": day,
        "groups": groups,
        "count": sum(len(group.rows) for group in groups if group.decision != Decision.SOON),
        "people": bench_people(),
        "here": request.get_full_path(),
    }
    return page(request, "office/today.html", context)


def group_by_decision(
    cases: Iterable[Any], *, today: datetime.date, soon: datetime.date, whole: str = ""
) -> list[Group]:
    """Each case once, under what is most pressing; its other reasons stand in its row.

    `whole` names the decision of which all rows are shown.
    """
    found = list(cases)
    lab, changes = laboratory(), changes_in_words(found)
    rows: dict[Decision, list[Row]] = {}
    for case in found:
        first, *others = decisions(case, today=today, soon=soon)
        missing = missing_from_prescription(case, lab) if case.state == CaseState.INCOMPLETE else ()
        row = Row(case, first, tuple(others), missing, _cause(case), changes.get(case.pk))
        rows.setdefault(first, []).append(row)
    return [
        Group(decision, *QUESTIONS[decision], rows[decision], is_whole=decision == whole)
        for decision in Decision
        if decision in rows
    ]


def changes_in_words(cases: Iterable[Any]) -> Mapping[int, Any]:
    """By case, the change that took its signature away."""
    unsigned = [case for case in cases if case.state == CaseState.OPEN and case.signed_at is None]
    return {each.event.case_id: each for each in happenings(changes_unsigned(unsigned))}


def _cause(case: Any) -> Any:
    """The return that the current stage repeats work for, if it does."""
    visit = case.current_stage.visit if case.current_stage else 1
    return next((back for back in case.returns.all() if back.visit == visit), None)
