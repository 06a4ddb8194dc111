"""One case: where it is, what is next and by when, and everything that is known about it."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_safe

from labcases.cases.choices import CaseState, Location, Place, StageKind
from labcases.cases.queries import events_of, returns_of, with_stages
from labcases.cases.rules import missing_from_prescription
from labcases.measurements.choices import Verdict
from labcases.measurements.queries import (
    changes_between,
    pure_specification,
    specifications_of,
    standing_readings,
)
from labcases.pages.answers import page
from labcases.pages.gates import case_or_404, for_managers
from labcases.pages.happenings import lately, log_page
from labcases.pages.prescribing import age_and_sex, work_asked_for
from labcases.pages.ways import stops_of
from labcases.people.queries import bench_people, laboratory
from labcases.prosthodontics.quantities import QUANTITIES
from labcases.prosthodontics.uncertainty import INSTRUMENTS
from labcases.prosthodontics.wording import in_a_sentence
from labcases.tickets.queries import visible_tickets

RECENT = 12


@require_safe
@for_managers
def case(request: HttpRequest, number: str) -> HttpResponse:
    found = case_or_404(request, number)
    stages = list(with_stages(found).stages.all())
    returns = list(returns_of(found))
    people = list(bench_people())
    specifications = issued(found)
    context = {
        "case": found,
        "today": timezone.localdate(),
        "stages": stages,
        "stops": stops_of(found, stages, returns),
        "returns": returns,
        "missing": missing_from_prescription(found, laboratory()) if found.is_open else (),
        "step": next_step(found),
        "figures": figures_that_stand(found),
        "specifications": specifications,
        "papers": papers(request.user, found, specifications),
        **lately(events_of(found), people, few=RECENT),
        "people": people,
        "prescription": prescription_facts(found),
        "here": request.path,
    }
    return page(request, "office/case.html", context)


@require_safe
@for_managers
def case_log(request: HttpRequest, number: str) -> HttpResponse:
    """All that happened to a case, a page at a time."""
    found = case_or_404(request, number)
    return page(request, "office/case_log.html", log_page(request, found, events_of(found), bench_people()))


def next_step(case: Any) -> str:
    """The one thing that moves the case on, by its name in the template; empty where nothing does."""
    stage = case.current_stage
    if case.state == CaseState.INCOMPLETE:
        return "complete"
    if case.state != CaseState.OPEN or stage is None:
        return ""
    if case.location == Location.TO_LABORATORY:
        return "receive"
    if stage.place == Place.CLINIC:
        return "hand_over" if case.location == Location.LABORATORY else "record"
    return "assign" if stage.assignee_id is None else "sheet"


@dataclass(frozen=True)
class StandingFigure:
    """The newest figure of one quantity that no correction replaced."""

    reading: Any

    @property
    def label(self) -> str:
        return QUANTITIES[self.reading.quantity].label

    @property
    def instrument(self) -> str:
        known = INSTRUMENTS.get(self.reading.instrument)
        return in_a_sentence(known.label) if known else ""


@dataclass(frozen=True)
class FiguresOfAStage:
    """The standing figures that were taken at one stage, and in a word what the check said of them."""

    stage: Any
    figures: list[StandingFigure]

    @property
    def words(self) -> str:
        """How many, and how many of them are not within their limits."""
        count = len(self.figures)
        if self.doubtful:
            said = ngettext(
                "{count} figure, {doubtful} not within", "{count} figures, {doubtful} not within", count
            )
        elif any(each.reading.verdict for each in self.figures):
            said = ngettext(
                "{count} figure, all checked ones within", "{count} figures, all checked ones within", count
            )
        else:
            said = ngettext("{count} figure", "{count} figures", count)
        return said.format(count=count, doubtful=self.doubtful)

    @property
    def doubtful(self) -> int:
        return sum(each.reading.verdict not in ("", Verdict.WITHIN) for each in self.figures)


def figures_that_stand(case: Any) -> list[FiguresOfAStage]:
    """The newest figure of each quantity, by the stage it was taken at, the latest stage first."""
    newest = {(reading.quantity, reading.arch): reading for reading in standing_readings(case)}
    order = list(QUANTITIES)
    by_stage: dict[Any, list[StandingFigure]] = {}
    for reading in sorted(newest.values(), key=lambda each: (order.index(each.quantity), each.arch)):
        by_stage.setdefault(reading.stage, []).append(StandingFigure(reading))
    latest_first = sorted(by_stage.items(), key=lambda item: -item[0].position)
    return [FiguresOfAStage(stage, figures) for stage, figures in latest_first]


@dataclass(frozen=True)
class Issued:
    """One stage's specification: the revision that holds, by arch, and what each revision changed."""

    kind: StageKind
    current: Any
    parts: list[tuple[str, Any]]
    history: list[tuple[Any, list[Any]]]


def issued(case: Any) -> list[Issued]:
    by_kind: dict[str, list[Any]] = {}
    for specification in specifications_of(case):
        by_kind.setdefault(specification.stage_kind, []).append(specification)
    return [_issued(case, kind, by_kind[kind]) for kind in StageKind if kind in by_kind]


def _issued(case: Any, kind: StageKind, revisions: list[Any]) -> Issued:
    current = revisions[0]
    parts = [(arch, pure_specification(current, arch)) for arch in case.arch_names]
    return Issued(kind, current, parts, list(_with_changes(revisions)))


def _with_changes(revisions: list[Any]) -> Iterable[tuple[Any, list[Any]]]:
    for new, old in zip(revisions, [*revisions[1:], None], strict=True):
        yield new, changes_between(old, new) if old else []


@dataclass(frozen=True)
class Paper:
    """A ticket as it was printed, and the revision that holds now where that is another."""

    ticket: Any
    current: int | None

    @property
    def is_old(self) -> bool:
        printed = self.ticket.specification
        return (printed.revision if printed else None) != self.current


def papers(user: Any, case: Any, specifications: list[Issued]) -> list[Paper]:
    """The tickets of a case, the newest first."""
    holds = {issued.kind: issued.current.revision for issued in specifications}
    found = visible_tickets(user).filter(stage__case=case).order_by("-issued_at", "-pk")
    return [Paper(ticket, holds.get(ticket.stage.kind)) for ticket in found]


def prescription_facts(case: Any) -> list[tuple[str, str]]:
    return [
        (_("Prescriber"), str(case.prescriber or "")),
        (_("Licence number"), case.prescriber.licence_number if case.prescriber else ""),
        (_("Order number"), case.order_number),
        (
            _("Patient’s age and sex"),
            ", ".join(age_and_sex(case)),
        ),
        *work_asked_for(case),
    ]
