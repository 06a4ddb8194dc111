from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from labcases.cases.queries import bench_stages, cases_for
from labcases.pages.answers import page
from labcases.pages.gates import for_laboratory

MOST_UNASSIGNED = 30


@require_safe
@for_laboratory
def work(request: HttpRequest) -> HttpResponse:
    """What this person has to do, in order; then what nobody has, what arrived and what may leave."""
    stages = bench_stages(request.user)
    cases = cases_for(request.user)
    context = {
        "mine": [_row(stage) for stage in stages.given_to(request.user)],
        "unassigned": [_row(stage) for stage in stages.filter(assignee=None)[:MOST_UNASSIGNED]],
        "to_receive": list(cases.to_receive()),
        "to_hand_over": list(cases.to_hand_over()),
        "today": timezone.localdate(),
        "scan_focus": True,
    }
    return page(request, "bench/work.html", context)


def _row(stage: object) -> dict[str, object]:
    """A stage with the return that brought it back, if one did."""
    returns = stage.case.returns.all()
    return {"stage": stage, "came_back": next((each for each in returns if each.visit == stage.visit), None)}
