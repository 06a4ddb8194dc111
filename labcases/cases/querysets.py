import datetime
from typing import TYPE_CHECKING, Self

from django.db.models import Case as Choose
from django.db.models import F, IntegerField, Q, QuerySet, Value, When

from labcases.cases.choices import OPEN_STATES, STILL_OPEN, CaseState, Location, Place, StageState

if TYPE_CHECKING:
    from labcases.people.models import User


# As the indexes of open cases have it, in this order.
LONGEST_SEARCH = 60


def searched(text: str) -> str:
    """A typed text as it is looked for."""
    return " ".join(text.split())[:LONGEST_SEARCH]


def numbers_begun(text: str) -> Q:
    """Case numbers that a text begins, with dashes or without."""
    bare = text.replace("-", "").replace(" ", "")
    if bare[:7].isdigit() and len(bare) > 2:
        text = "-".join(filter(None, (bare[:2], bare[2:7], bare[7:8])))
    return Q(number__istartswith=text)


class CaseQuerySet(QuerySet):
    def visible_to(self, user: "User") -> Self:
        """The only door from a page to cases: all for the laboratory, the own practice's for a clinician."""
        if not user.is_authenticated or not user.is_active:
            return self.none()
        if user.is_clinician:
            return self.filter(practice_id=user.practice_id)
        return self

    def with_current_stage(self) -> Self:
        return self.select_related("practice", "prescriber", "current_stage", "current_stage__assignee")

    def still_open(self) -> Self:
        return self.filter(state__among=STILL_OPEN)

    def by_due(self) -> Self:
        return self.order_by(F("current_stage__due_on").asc(nulls_last=True), "number")

    def newest_first(self) -> Self:
        return self.order_by("-opened_at", "-pk")

    def search(self, text: str) -> Self:
        """By case or order number, patient's code, practice or prescriber; an empty text finds all.

        Looks at every case it is asked of: for the open ones. `searching.find` is for an archive.
        """
        text = searched(text)
        if not text or "\x00" in text:
            return self.none() if text else self
        return self.filter(
            numbers_begun(text)
            | Q(patient_code__istartswith=text)
            | Q(order_number__istartswith=text)
            | Q(practice__name__icontains=text)
            | Q(practice__code__iexact=text)
            | Q(prescriber__display_name__icontains=text)
        )

    def late(self, today: datetime.date) -> Self:
        """Open cases whose work at the laboratory should have been finished before today."""
        return self.still_open().filter(
            current_stage__place=Place.LABORATORY, current_stage__due_on__lt=today
        )

    def due_by(self, today: datetime.date, until: datetime.date) -> Self:
        return self.still_open().filter(
            current_stage__place=Place.LABORATORY, current_stage__due_on__range=(today, until)
        )

    def overdue_at_clinic(self, today: datetime.date) -> Self:
        """Cases out at the clinic whose appointment has passed without a word."""
        return self.still_open().filter(
            state=CaseState.OPEN, current_stage__place=Place.CLINIC, current_stage__due_on__lt=today
        )

    def came_back(self) -> Self:
        """Open cases whose current stage repeats earlier work."""
        return self.still_open().filter(current_stage__visit__gt=1, current_stage__place=Place.LABORATORY)

    def unassigned(self) -> Self:
        return self.still_open().filter(
            state=CaseState.OPEN,
            current_stage__place=Place.LABORATORY,
            current_stage__assignee__isnull=True,
        )

    def unsigned(self) -> Self:
        """Cases under way whose prescription was changed since it was signed: what is being made, nobody signed."""
        return self.still_open().filter(state=CaseState.OPEN, signed_at__isnull=True)

    def undated(self) -> Self:
        """Laboratory work that no day drives: it can never be late, so no list would ever name it."""
        return self.still_open().filter(
            state=CaseState.OPEN, current_stage__place=Place.LABORATORY, current_stage__due_on__isnull=True
        )

    def to_receive(self) -> Self:
        return self.still_open().filter(location=Location.TO_LABORATORY)

    def to_cross(self) -> Self:
        """What is to be received and what is to be handed over, in one read; where each lies tells them apart."""
        return (self.to_receive() | self.to_hand_over()).still_open()

    def to_hand_over(self) -> Self:
        return self.still_open().filter(
            state=CaseState.OPEN, location=Location.LABORATORY, current_stage__place=Place.CLINIC
        )


class StageQuerySet(QuerySet):
    def visible_to(self, user: "User") -> Self:
        if not user.is_authenticated or not user.is_active:
            return self.none()
        if user.is_clinician:
            return self.filter(case__practice_id=user.practice_id)
        return self

    def with_case(self) -> Self:
        return self.select_related("case", "case__practice", "case__prescriber", "assignee", "finished_by")

    def open(self) -> Self:
        return self.filter(state__among=OPEN_STATES)

    def current(self) -> Self:
        """Stages that are their case's next one."""
        return self.filter(pk=F("case__current_stage"))

    def at_bench(self) -> Self:
        """Current laboratory stages of cases that are complete on paper and here in the laboratory."""
        return (
            self.current()
            .open()
            .filter(place=Place.LABORATORY, case__state__among=STILL_OPEN)
            .filter(case__state=CaseState.OPEN, case__location=Location.LABORATORY)
        )

    def given_to(self, user: "User") -> Self:
        return self.filter(assignee=user)

    def given_to_or_free(self, user: "User") -> Self:
        return self.filter(Q(assignee=user) | Q(assignee=None))

    def in_bench_order(self) -> Self:
        """What is at work first, then what is due first."""
        at_work = Choose(
            When(state=StageState.IN_PROGRESS, then=Value(0)),
            When(state=StageState.ON_HOLD, then=Value(2)),
            default=Value(1),
            output_field=IntegerField(),
        )
        return self.order_by(at_work, F("due_on").asc(nulls_last=True), "planned_on", "pk")
