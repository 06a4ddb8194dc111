"""Who gets to a page. A foreign or unknown case answers 404 alike; the own case in the wrong role 403."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse

from labcases.attachments.models import Attachment
from labcases.attachments.queries import attachment_seen_by
from labcases.cases.models import Case, Stage
from labcases.cases.numbers import CaseNumberError
from labcases.cases.queries import case_by_number
from labcases.measurements.models import Reading
from labcases.measurements.queries import reading_seen_by
from labcases.pages.ids import read_id
from labcases.people.access import may_manage, works_in_laboratory
from labcases.people.models import User
from labcases.tickets.codes import CodeError
from labcases.tickets.models import WorkTicket
from labcases.tickets.queries import ticket_by_code

View = Callable[..., HttpResponse]


def _gate(allowed: Callable[[User], bool]) -> Callable[[View], View]:
    def decorate(view: View) -> View:
        @wraps(view)
        def gated(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            if not allowed(request.user):
                raise PermissionDenied
            return view(request, *args, **kwargs)

        return gated

    return decorate


def _is_clinician(user: User) -> bool:
    return user.is_active and user.is_clinician


for_managers = _gate(may_manage)
for_laboratory = _gate(works_in_laboratory)
for_clinicians = _gate(_is_clinician)


def case_or_404(request: HttpRequest, number: str) -> Case:
    try:
        return case_by_number(request.user, number)
    except (CaseNumberError, Case.DoesNotExist) as error:
        raise Http404 from error


def stage_or_404(request: HttpRequest, pk: int) -> Stage:
    try:
        return Stage.objects.visible_to(request.user).with_case().get(pk=pk)
    except (Stage.DoesNotExist, OverflowError) as error:
        raise Http404 from error


def reading_or_404(request: HttpRequest, pk: int) -> Reading:
    try:
        return reading_seen_by(request.user, pk)
    except (Reading.DoesNotExist, OverflowError) as error:
        raise Http404 from error


def ticket_or_404(request: HttpRequest, code: str) -> WorkTicket:
    try:
        return ticket_by_code(request.user, code)
    except (WorkTicket.DoesNotExist, CodeError) as error:
        raise Http404 from error


def attachment_or_404(request: HttpRequest, pk: int) -> Attachment:
    try:
        return attachment_seen_by(request.user, pk)
    except (Attachment.DoesNotExist, OverflowError) as error:
        raise Http404 from error


def version_seen(request: HttpRequest, name: str = "version") -> int:
    """The row's version that the form carries; one that is no number matches no row."""
    found = read_id(request.POST.get(name, ""))
    return -1 if found is None else found
