"""Photographs, papers and scans of a case: the pages that its practice and the laboratory share."""

import logging
from collections.abc import Iterator
from typing import Any

from django.contrib import messages
from django.db.models.fields.files import FieldFile
from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.urls import reverse
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from labcases.attachments.access import may_attach, may_open, may_remove
from labcases.attachments.actions.keeping import attach, remove_attachment, stored
from labcases.attachments.models import Attachment
from labcases.attachments.queries import attachments_of, earlier_of_the_same_view, stages_to_attach_to
from labcases.cases.choices import CaseState
from labcases.cases.models import Case
from labcases.pages.answers import answer_form, page, status_of
from labcases.pages.attaching import AttachForm, RemoveForm
from labcases.pages.gates import attachment_or_404, case_or_404
from labcases.pages.scanning import case_address

# A file that came from outside gets no rights of the site's, should a browser ever show it by itself.
FILE_POLICY = "default-src 'none'; sandbox"
logger = logging.getLogger(__name__)


@require_http_methods(["GET", "HEAD", "POST"])
def attachments(request: HttpRequest, number: str) -> HttpResponse:
    """All files of a case by what they belong to, and the form that adds one; as a fragment the latest few."""
    case = case_or_404(request, number)
    stages = stages_to_attach_to(case)
    sent = (request.POST, request.FILES) if request.method == "POST" else ()
    form = AttachForm(*sent, stages=stages, initial={"belongs_to": _asked_stage(request, case)})
    if form.is_bound and form.is_valid():
        answer = _attach(request, case, form)
        if answer:
            return answer
    return page(
        request,
        "attachments/attachments.html",
        _context(request, case, form),
        fragment="attachments/_strip.html",
        status=status_of(form),
    )


def _asked_stage(request: HttpRequest, case: Case) -> str:
    """The stage whose page led here, or the one at which the case stands."""
    return request.GET.get("stage") or str(case.current_stage_id or "")


def _attach(request: HttpRequest, case: Case, form: AttachForm) -> HttpResponse | None:
    given = form.cleaned_data
    with stored(form.content) as file:

        def act() -> str:
            attach(
                case=case,
                stage=form.stage,
                file=file,
                view=given["view"],
                caption=given["caption"],
                by=request.user,
                now=timezone.now(),
            )
            messages.success(
                request,
                _("Added to {number}: {kind}.").format(number=case.number, kind=file.content.kind.label),
            )
            return f"{reverse('attachments', args=[case.number])}?stage={given['belongs_to']}"

        return answer_form(request, form, act)


def _context(request: HttpRequest, case: Case, form: AttachForm) -> dict[str, Any]:
    files = attachments_of(case)
    seen = [each for each in files if each.file and each.removed_at is None]
    groups: dict[str, list[Attachment]] = {}
    order = [None, *form.stages.values()]
    for each in sorted(seen, key=lambda each: order.index(each.stage)):
        groups.setdefault(each.belongs_to, []).append(each)
    return {
        "case": case,
        "form": form,
        "groups": groups,
        "files": seen[::-1],
        "removed": [each for each in files if each.removed_at],
        "may_attach": may_attach(request.user, case) and case.state != CaseState.CANCELLED,
        "case_url": case_address(request.user, case),
    }


@require_safe
def attachment(request: HttpRequest, pk: int) -> HttpResponse:
    """One file; a photograph with the same view of an earlier visit beside it."""
    found = _opened(request, pk)
    context = {
        "file": found,
        "case": found.case,
        "earlier": earlier_of_the_same_view(found),
        "may_remove": found.removed_at is None and may_remove(request.user, found),
        "case_url": case_address(request.user, found.case),
    }
    return page(request, "attachments/attachment.html", context)


@require_safe
def attachment_file(request: HttpRequest, pk: int) -> HttpResponseBase:
    """The bytes: a photograph to be looked at, anything else only to be saved."""
    found = _opened(request, pk)
    return _bytes(found.file, found, inline=found.is_photograph)


@require_safe
def attachment_small(request: HttpRequest, pk: int) -> HttpResponseBase:
    found = _opened(request, pk)
    if not found.small:
        raise Http404
    return _bytes(found.small, found, inline=True)


@require_http_methods(["GET", "HEAD", "POST"])
def attachment_remove(request: HttpRequest, pk: int) -> HttpResponse:
    found = attachment_or_404(request, pk)
    form = RemoveForm(request.POST if request.method == "POST" else None)

    def act() -> str:
        given = form.cleaned_data
        remove_attachment(attachment=found, reason=given["reason"], by=request.user, now=timezone.now())
        messages.success(request, _("{title} is removed.").format(title=found.title))
        return reverse("attachments", args=[found.case.number])

    answer = answer_form(request, form, act) if form.is_bound else None
    context = {"file": found, "case": found.case, "form": form, "may_remove": may_remove(request.user, found)}
    return answer or page(request, "attachments/remove.html", context, status=status_of(form))


def _opened(request: HttpRequest, pk: int) -> Attachment:
    found = attachment_or_404(request, pk)
    if not may_open(request.user, found):
        raise Http404
    return found


def _bytes(file: FieldFile, found: Attachment, *, inline: bool) -> HttpResponseBase:
    if not file.storage.exists(file.name):
        logger.error("The file of attachment %s is not in its storage.", found.pk)
        raise Http404
    headers = {
        "Content-Length": str(file.size),
        "Content-Disposition": content_disposition_header(not inline, found.file_name),
        "Content-Security-Policy": FILE_POLICY,
    }
    return StreamingHttpResponse(_blocks(file), content_type=found.media_type, headers=headers)


def _blocks(file: FieldFile) -> Iterator[bytes]:
    """The file block by block; it is opened when the first is asked for, so that a HEAD opens none."""
    with file.storage.open(file.name, "rb") as opened:
        yield from opened.chunks()
