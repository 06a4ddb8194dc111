"""The laboratory's own checklists."""

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from labcases.cases.actions.checklists import set_checklist
from labcases.cases.choices import Place, StageKind
from labcases.cases.queries import checklist_for, own_checklists
from labcases.office.forms.laboratory import ChecklistForm
from labcases.pages.answers import answer_form, once, page, status_of
from labcases.pages.gates import for_managers
from labcases.prosthodontics.specification.steps import USUAL_STEPS
from labcases.prosthodontics.wording import in_a_sentence


@require_safe
@for_managers
def checklists(request: HttpRequest) -> HttpResponse:
    own = own_checklists()
    rows = [
        {
            "kind": kind,
            "own": kind in own,
            "count": own.get(kind) or len(USUAL_STEPS.get(kind, ())),
        }
        for kind in StageKind
    ]
    places = [(place.label, [row for row in rows if row["kind"].place == place]) for place in reversed(Place)]
    return page(request, "office/checklists.html", {"places": places})


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def checklist(request: HttpRequest, kind: str) -> HttpResponse:
    stage_kind = stage_kind_or_404(kind)
    present = checklist_for(kind)
    # A list is everybody's, so it is compared and kept in the laboratory's language.
    with translation.override(settings.LANGUAGE_CODE):
        usual = tuple(str(step) for step in USUAL_STEPS.get(kind, ()))
    form = ChecklistForm(request.POST or None, initial={"steps": "\n".join(present)})
    seen = tuple(request.POST.getlist("seen"))

    def act(steps: tuple[str, ...]) -> str:
        set_checklist(stage_kind=kind, steps=() if steps == usual else steps, by=request.user, expected=seen)
        messages.success(
            request,
            _("The checklist of {stage} is kept. It holds from the next start.").format(
                stage=in_a_sentence(stage_kind.label)
            ),
        )
        return reverse("office:checklists")

    if "usual" in request.POST:
        return once(request, lambda: act(usual))
    answer = answer_form(request, form, lambda: act(tuple(form.cleaned_data["steps"])))
    context = {
        "form": form,
        "kind": stage_kind,
        "usual": usual,
        "is_own": kind in own_checklists(),
        "seen": seen or present,
    }
    return answer or page(request, "office/checklist.html", context, status=status_of(form))


def stage_kind_or_404(kind: str) -> StageKind:
    if kind not in StageKind.values:
        raise Http404
    return StageKind(kind)
