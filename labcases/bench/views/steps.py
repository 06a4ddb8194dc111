from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from labcases.bench.views.sheet import sheet_address
from labcases.bench.views.undoing import note_act
from labcases.cases.actions.checklists import tick_step, untick_step
from labcases.cases.choices import StageState
from labcases.pages.answers import wants_fragment
from labcases.pages.gates import for_laboratory, stage_or_404
from labcases.people.refusals import Conflict


@for_laboratory
def tick(request: HttpRequest, pk: int, step: int) -> HttpResponse:
    """Set one step's tick to what its box shows; sent twice it stays the same: no one-time key is needed."""
    stage = stage_or_404(request, pk)
    if request.method != "POST":
        return redirect(sheet_address(stage))
    ticked = stage.steps.filter(pk=step).first()
    if ticked is None:
        raise Http404
    set_tick = tick_step if str(step) in request.POST.getlist("step") else untick_step
    try:
        set_tick(step=ticked, by=request.user, now=timezone.now())
        note_act(request)
    except Conflict as conflict:
        if wants_fragment(request):
            return render(request, "pages/_conflict.html", {"refusal": conflict}, status=409)
        raise
    if wants_fragment(request):
        return _checklist(request, stage)
    return redirect(sheet_address(stage, at="checklist"))


def _checklist(request: HttpRequest, stage: object) -> HttpResponse:
    steps = tuple(stage.steps.select_related("done_by"))
    context = {
        "stage": stage,
        "steps": steps,
        "ticked": sum(step.done_at is not None for step in steps),
        "may_tick": stage.state == StageState.IN_PROGRESS,
    }
    return render(request, "bench/_checklist.html", context)
