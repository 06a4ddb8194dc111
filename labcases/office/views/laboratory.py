"""The laboratory's own details, and the way to everything that it sets for itself."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from labcases.cases.actions.completeness import settle_incomplete_cases
from labcases.cases.choices import CaseKind
from labcases.measurements.standards import stored_standard
from labcases.office.forms.laboratory import LaboratoryForm
from labcases.pages.answers import answer_form, page, status_of
from labcases.pages.gates import for_managers, version_seen
from labcases.people import queries
from labcases.people.actions.staff import describe_laboratory
from labcases.upkeep.queries import last_verified_backup
from labcases.upkeep.rules import OLD_AFTER


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def laboratory(request: HttpRequest) -> HttpResponse:
    lab, backup = queries.laboratory(), last_verified_backup()
    form = LaboratoryForm(request.POST or None, initial={"name": lab.name, "address": lab.address})

    def act() -> str:
        describe_laboratory(**form.cleaned_data, by=request.user, expected_version=version_seen(request))
        settle_incomplete_cases()
        messages.success(request, _("The laboratory’s details are kept."))
        return reverse("office:laboratory")

    context = {
        "form": form,
        "lab": lab,
        "version": request.POST.get("version") or lab.version,
        "standard": stored_standard(timezone.localdate()),
        "kinds": CaseKind,
        "backup": backup,
        "backup_is_old": backup is not None and timezone.now() - backup.verified_at > OLD_AFTER,
    }
    answer = answer_form(request, form, act)
    return answer or page(request, "office/laboratory.html", context, status=status_of(form))
