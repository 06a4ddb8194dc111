"""A clinician's letters: which, how often, and where to."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from labcases.clinic.forms import LettersForm
from labcases.pages.answers import answer_form, page, status_of
from labcases.pages.gates import for_clinicians, version_seen
from labcases.post.actions.subscribing import choose_letters
from labcases.post.choices import Rhythm
from labcases.post.queries import letters_are_sent, subscription_of
from labcases.prosthodontics.wording import in_a_sentence


@require_http_methods(["GET", "HEAD", "POST"])
@for_clinicians
def letters(request: HttpRequest) -> HttpResponse:
    chosen = subscription_of(request.user)
    form = LettersForm(request.POST if request.method == "POST" else None, chosen=chosen)

    def act() -> str:
        version = version_seen(request)
        choose_letters(person=request.user, by=request.user, expected_version=version, **form.cleaned_data)
        rhythm = Rhythm(form.cleaned_data["rhythm"])
        messages.success(request, _("Kept: {rhythm}.").format(rhythm=in_a_sentence(rhythm.label)))
        return reverse("clinic:letters")

    answer = answer_form(request, form, act)
    context = {
        "form": form,
        "version": request.POST.get("version") or chosen.version,
        "sent": letters_are_sent(),
        "practice": request.user.practice,
    }
    return answer or page(request, "clinic/letters.html", context, status=status_of(form))
