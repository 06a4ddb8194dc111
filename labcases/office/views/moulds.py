"""The laboratory's own list of tooth moulds."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from labcases.measurements.actions.moulds import import_moulds
from labcases.measurements.queries import current_mould_list, earlier_mould_lists, plain_moulds
from labcases.office.forms.moulds import MouldsForm
from labcases.pages.answers import answer_form, page, status_of
from labcases.pages.gates import for_managers

MOST_SHOWN = 200


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def moulds(request: HttpRequest) -> HttpResponse:
    current = current_mould_list()
    listed = plain_moulds(current)
    form = MouldsForm(request.POST or None, request.FILES or None, current=listed)
    seen = request.POST.get("seen", str(current.number) if current else "")

    def act() -> str:
        stored = import_moulds(
            text=form.cleaned_data["text"],
            note=form.cleaned_data["note"],
            by=request.user,
            now=timezone.now(),
            expected=current if current and str(current.number) == seen else None,
        )
        count = stored.moulds.count()
        words = ngettext("{list} is kept, with {count} mould.", "{list} is kept, with {count} moulds.", count)
        messages.success(request, words.format(list=stored, count=count))
        return reverse("office:moulds")

    answer = answer_form(request, form, act)
    context = {
        "form": form,
        "seen": seen,
        "current": current,
        "moulds": listed[:MOST_SHOWN],
        "count": len(listed),
        "earlier": earlier_mould_lists(),
    }
    return answer or page(request, "office/moulds.html", context, status=status_of(form))
