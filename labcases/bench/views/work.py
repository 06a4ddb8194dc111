from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from labcases.bench.views.undoing import undoable
from labcases.cases.choices import Act, Location, ReturnCause, StageState
from labcases.cases.queries import bench_stages, cases_for
from labcases.pages.answers import page
from labcases.pages.gates import for_laboratory
from labcases.planning.queries.board import bench_order

MOST_UNASSIGNED = 30


@require_safe
@for_laboratory
def work(request: HttpRequest) -> HttpResponse:
    """What this person has to do, in order; then what nobody has, what arrived and what may leave."""
    stages = list(bench_stages(request.user).given_to_or_free(request.user))
    mine = in_plan_order([stage for stage in stages if stage.assignee_id], request.user)
    cases = list(cases_for(request.user).to_cross())
    context = {
        "mine": [_row(stage) for stage in mine],
        "unassigned": [_row(stage) for stage in stages if not stage.assignee_id][:MOST_UNASSIGNED],
        "to_receive": [case for case in cases if case.location == Location.TO_LABORATORY],
        "to_hand_over": [case for case in cases if case.location == Location.LABORATORY],
        "undoable": undoable(request, Act.FINISHED),
        "today": timezone.localdate(),
        "scan_focus": True,
    }
    return page(request, "bench/work.html", context)


def in_plan_order(stages: list[Any], user: Any) -> list[Any]:
    """What is at work first, on hold last, between them the order that keeps appointments."""
    planned = [placement.work.key for placement in bench_order(user, now=timezone.now())] if stages else []
    place = {key: number for number, key in enumerate(planned)}

    def rank(stage: Any) -> tuple[int, int]:
        at_work = {StageState.IN_PROGRESS: 0, StageState.ON_HOLD: 2}.get(stage.state, 1)
        return at_work, place.get(stage.pk, len(place))

    return sorted(stages, key=rank)


def _row(stage: Any) -> dict[str, object]:
    """A stage with the cause of the return that brought it back, if one did."""
    cause = stage.return_cause
    return {"stage": stage, "came_back": ReturnCause(cause).label if cause else ""}
