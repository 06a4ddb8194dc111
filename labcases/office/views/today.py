"""What needs a decision of the office now, and the one thing to do about each."""

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from labcases.cases.choices import CaseState, Decision, Location, Place
from labcases.cases.queries import cases_to_decide
from labcases.cases.rules import decisions, missing_from_prescription, next_working_day
from labcases.pages.answers import page
from labcases.pages.gates import for_managers
from labcases.people.queries import bench_people, laboratory

LEADS = {
    Decision.LATE: "This should have left the bench. Move the day with the practice, or give the work to somebody.",
    Decision.OVERDUE: "The appointment has passed and the practice has not said how it went.",
    Decision.CAME_BACK: "Work to be done again. Look at the cause before it goes to the bench.",
    Decision.INCOMPLETE: "These cannot go to the bench until what is missing is written.",
    Decision.UNASSIGNED: "Complete on paper, but nobody has the next stage.",
    Decision.TO_RECEIVE: "Take the box in and note its disinfection.",
    Decision.TO_HAND_OVER: "The bench is done; the clinic is next.",
    Decision.SOON: "Due today or on the next working day. Nothing to do if they are on their way.",
}


@dataclass(frozen=True)
class Row:
    """One case that waits: why, what else is so, and the one thing to do."""

    case: Any
    decision: Decision
    others: tuple[Decision, ...]
    missing: tuple[Any, ...]
    came_back: Any

    @property
    def step(self) -> str:
        """The one thing to do: its name in the template."""
        if self.case.state == CaseState.INCOMPLETE:
            return "complete"
        if self.decision == Decision.SOON:
            return "look"
        if self.case.location == Location.TO_LABORATORY:
            return "receive"
        if self.decision == Decision.OVERDUE:
            return "record"
        if self.case.current_stage.place == Place.CLINIC:
            return "hand_over"
        return "assign" if self.case.current_stage.assignee_id is None else "dates"


@dataclass(frozen=True)
class Group:
    decision: Decision
    lead: str
    rows: list[Row]


@require_safe
@for_managers
def today(request: HttpRequest) -> HttpResponse:
    day = timezone.localdate()
    soon = next_working_day(day)
    found = cases_to_decide(request.user, today=day, soon=soon)
    groups = group_by_decision(found, today=day, soon=soon)
    context = {
        "today": day,
        "groups": groups,
        "count": sum(len(group.rows) for group in groups if group.decision != Decision.SOON),
        "people": bench_people(),
        "here": request.path,
    }
    return page(request, "office/today.html", context)


def group_by_decision(cases: Iterable[Any], *, today: datetime.date, soon: datetime.date) -> list[Group]:
    """Each case once, under what is most pressing; its other reasons stand in its row."""
    lab = laboratory()
    rows: dict[Decision, list[Row]] = {}
    for case in cases:
        first, *others = decisions(case, today=today, soon=soon)
        missing = missing_from_prescription(case, lab) if case.state == CaseState.INCOMPLETE else ()
        rows.setdefault(first, []).append(Row(case, first, tuple(others), missing, _cause(case)))
    return [Group(decision, LEADS[decision], rows[decision]) for decision in Decision if decision in rows]


def _cause(case: Any) -> Any:
    """The return that the current stage repeats work for, if it does."""
    visit = case.current_stage.visit if case.current_stage else 1
    return next((back for back in case.returns.all() if back.visit == visit), None)
