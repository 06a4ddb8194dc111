"""The complete record of a case, as the laboratory and the case's practice take it away."""

import datetime
from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from labcases.cases.models import Case, Event
from labcases.pages.answers import page
from labcases.pages.happenings import happenings
from labcases.people.queries import bench_people
from labcases.records.gathering import Record, case_record
from labcases.records.paper import record_as_json, record_as_pdf
from labcases.records.queries import erased_at, kept_until, retention_years


def record_page(request: HttpRequest, case: Case, *, template: str) -> HttpResponse:
    today = timezone.localdate()
    return page(request, template, {"case": case, "today": today, **keeping(case, today)})


def keeping(case: Case, today: datetime.date) -> dict[str, Any]:
    """How long a case is kept, whether that is over, and when its patient's data were erased."""
    until, erased = kept_until(case, today=today), erased_at(case)
    closed_since = erased is not None and case.completed_at is not None and case.completed_at > erased
    return {
        "years": retention_years(today),
        "kept_until": until,
        "is_due": until is not None and until <= today and (erased is None or closed_since),
        "erased_at": erased,
    }


def record_file(case: Case, *, for_practice: bool) -> HttpResponse:
    content = record_as_json(_record(case, for_practice))
    return _file(content, "application/json", f'attachment; filename="{case.number}-record.json"')


def record_paper(case: Case, *, for_practice: bool) -> HttpResponse:
    content = record_as_pdf(_record(case, for_practice))
    return _file(content, "application/pdf", f'inline; filename="{case.number}-record.pdf"')


def _record(case: Case, for_practice: bool) -> Record:
    people = () if for_practice else bench_people()

    def in_words(events: Sequence[Event]) -> list[str]:
        return [each.words for each in happenings(events, people)]

    return case_record(case, for_practice=for_practice, now=timezone.now(), in_words=in_words)


def _file(content: bytes, kind: str, disposition: str) -> HttpResponse:
    return HttpResponse(content, content_type=kind, headers={"Content-Disposition": disposition})
