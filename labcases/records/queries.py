"""Reads of cases as records: the rows that a log stands for, and which cases have been kept long enough."""

import datetime
from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from django.db.models import Exists, F, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.utils import timezone

from labcases.cases.choices import Act, CaseState
from labcases.cases.models import Case, Disinfection, Event, Return
from labcases.cases.rules import laboratory_day
from labcases.measurements.models import PrescribedDimension, Reading, Specification, SpecificationLine
from labcases.measurements.standards import schools_in_force
from labcases.people.models import User
from labcases.prosthodontics.retention import keep_until, kept_since
from labcases.tickets.models import WorkTicket

# What entries of the log stand for, and how each row finds its case.
SEALED = (
    (Return, "case"),
    (Disinfection, "case"),
    (PrescribedDimension, "case"),
    (Reading, "case"),
    (Specification, "case"),
    (SpecificationLine, "specification__case"),
    (WorkTicket, "stage__case"),
)
CLOSED = (CaseState.COMPLETE, CaseState.CANCELLED)
Rows = dict[str, dict[int, Any]]


def logs_of(cases: Sequence[Case]) -> dict[int, list[Event]]:
    """Each case's log in the order of its entries, by the case's key; in one read."""
    found: dict[int, list[Event]] = defaultdict(list)
    for event in Event.objects.filter(case__in=cases).order_by("position", "pk"):
        found[event.case_id].append(event)
    return found


def sealed_rows(cases: Sequence[Case]) -> dict[int, Rows]:
    """By the case's key, the rows that its entries stand for: by kind, then by key."""
    found: dict[int, Rows] = defaultdict(lambda: defaultdict(dict))
    for model, path in SEALED:
        rows = model._base_manager.filter(**{f"{path}__in": cases}).annotate(of_case=F(f"{path}__pk"))
        for row in rows.order_by("pk"):
            found[row.of_case][model._meta.label_lower][row.pk] = row
    return found


def closed_cases(user: User) -> QuerySet[Case]:
    """Cases that were delivered or cancelled, each with `closed_at` and whether the patient's data are `erased`."""
    events = Event.objects.filter(case=OuterRef("pk"))
    cancelled = events.filter(act=Act.CANCELLED).order_by("-position").values("at")[:1]
    return (
        Case.objects.visible_to(user)
        .filter(state__in=CLOSED)
        .annotate(
            closed_at=Coalesce("completed_at", Subquery(cancelled)),
            erased=Exists(events.filter(act=Act.ERASED, at__gte=OuterRef("closed_at"))),
        )
        .select_related("practice")
    )


def retention_years(today: datetime.date) -> int:
    """For how many years this laboratory keeps its cases: its own choice, ten as delivered.

    Common practice, no source; local law comes first.
    """
    return schools_in_force(today).retention_years


def cases_kept_long_enough(user: User, *, today: datetime.date) -> QuerySet[Case]:
    """Closed cases whose time of keeping is over and that still say who the patient was, in no order yet."""
    last = kept_since(today, years=retention_years(today))
    end = timezone.make_aware(datetime.datetime.combine(last + datetime.timedelta(days=1), datetime.time.min))
    # What was opened later was closed later: without this every closed case would be looked up in the log.
    old = closed_cases(user).filter(Q(completed_at__lt=end) | Q(completed_at=None), opened_at__lt=end)
    return old.filter(closed_at__lt=end, erased=False)


def kept_until(case: Case, *, today: datetime.date) -> datetime.date | None:
    """The day until which a case is kept by this laboratory's choice of today; None while it is not closed."""
    closed_at = case.completed_at or _cancelled_at(case)
    if case.state not in CLOSED or closed_at is None:
        return None
    return keep_until(laboratory_day(closed_at), years=retention_years(today))


def erased_at(case: Case) -> datetime.datetime | None:
    """When the patient's data were last erased."""
    return _last(case, Act.ERASED)


def _cancelled_at(case: Case) -> datetime.datetime | None:
    return _last(case, Act.CANCELLED)


def _last(case: Case, act: str) -> datetime.datetime | None:
    return case.events.filter(act=act).order_by("-position").values_list("at", flat=True).first()
