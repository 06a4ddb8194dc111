"""The page of a clinic stage's record, which the practice has and the office has for it."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _

from labcases.cases.actions.guards import stage_conflict
from labcases.cases.choices import Location
from labcases.cases.models import Case, Stage
from labcases.cases.queries import stages_of
from labcases.pages.answers import once, page, status_of, wants_fragment
from labcases.pages.clinic_record import ClinicRecordForm, stage_to_record
from labcases.pages.drafts import answer_and_keep, keep_changes, only_keeps, start_from_draft
from labcases.pages.gates import version_seen
from labcases.people.refusals import Refused

WORKED_OUT = "pages/clinic_record/_worked_out.html"


def record_page(request: HttpRequest, case: Case, *, template: str, leads_to: str) -> HttpResponse:
    """Answer GET and POST of a record; `template` shows it in the room's own frame, `leads_to` comes after it.

    A fragment that is asked for is the panel of what follows from the figures typed so far; it records nothing.
    """
    sends = request.method == "POST" and "look" not in request.POST and not only_keeps(request)
    stage = stage_to_record(case)
    if sends and not _is_as_seen(request, stage):
        return once(request, lambda: _not_as_seen(request, case))
    if stage is None or case.location == Location.LABORATORY:
        return page(request, template, {"case": case, "stage": stage, "form": None})
    form = ClinicRecordForm(_typed(request), stage=stage, today=timezone.localdate())

    def act() -> str:
        form.record(by=request.user, now=timezone.now(), expected_version=stage.version)
        messages.success(request, form.done_words)
        return leads_to

    name = f"record-{stage.pk}"
    if only_keeps(request):
        return keep_changes(request, name, form)
    answer = answer_and_keep(request, form, act, name=name) if sends else None
    if not sends:
        # A form that is only looked at has nothing to put right yet.
        form.errors.clear()
    kept = start_from_draft(request, name, form, version=stage.version)
    context = {"case": case, "stage": stage, "form": form, "kept": kept}
    return answer or page(request, template, context, fragment=WORKED_OUT, status=status_of(form))


def _typed(request: HttpRequest) -> Any:
    """Without scripts the panel comes by sending the form, with them by asking for the fragment."""
    if request.method == "POST":
        return request.POST
    return request.GET if wants_fragment(request) else None


def _is_as_seen(request: HttpRequest, stage: Stage | None) -> bool:
    if stage is None or request.POST.get("stage") != str(stage.pk):
        return False
    return version_seen(request) == stage.version


def _not_as_seen(request: HttpRequest, case: Case) -> str:
    """The form is of a stage as it no longer is; a form sent twice never comes here, its key leads on."""
    seen = [each for each in stages_of(case) if str(each.pk) == request.POST.get("stage")]
    if not seen:
        raise Refused(_("This page is not of a stage of this case. Load it again and repeat your entry."))
    raise stage_conflict(seen[0])
