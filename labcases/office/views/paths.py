"""Which stages a kind of case goes through in this laboratory."""

from collections.abc import Sequence

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from labcases.cases.actions.checklists import set_path
from labcases.cases.choices import CaseKind, StageKind
from labcases.cases.queries import path_for
from labcases.cases.rules import usual_path
from labcases.office.forms.laboratory import PathForm
from labcases.pages.answers import answer_form, once, page, status_of
from labcases.pages.crossing import Stop
from labcases.pages.gates import for_managers


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def path(request: HttpRequest, kind: str) -> HttpResponse:
    if kind not in CaseKind.values:
        raise Http404
    now, usual = path_for(kind), usual_path(kind)
    form = PathForm(request.POST or None, stages=now)
    seen = tuple(request.POST.getlist("seen"))

    def act(stages: Sequence[str]) -> str:
        set_path(case_kind=kind, stage_kinds=stages, by=request.user, expected=seen)
        messages.success(request, _("The path is kept. Cases that are open already keep theirs."))
        return reverse("office:path", args=[kind])

    if "usual" in request.POST:
        return once(request, lambda: act(usual))
    answer = answer_form(request, form, lambda: act(form.stages))
    context = {
        "form": form,
        "kind": CaseKind(kind),
        "stops": [_stop(stage) for stage in now],
        "is_own": now != usual,
        "seen": seen or now,
    }
    return answer or page(request, "office/path.html", context, status=status_of(form))


def _stop(stage: StageKind) -> Stop:
    return Stop(label=str(stage.label), place=stage.place, state="waiting")
