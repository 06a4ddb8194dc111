"""One case for its practice: where it is, what is prescribed, what was measured, what it is made to, what happened."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from labcases.cases.choices import Place, StageKind
from labcases.cases.queries import events_told_to_the_practice, returns_of, with_stages
from labcases.cases.rules import missing_from_prescription
from labcases.clinic.views.standing import Standing
from labcases.measurements.queries import specifications_of, standing_readings
from labcases.measurements.rules import freeway_space_of, judgement_of
from labcases.measurements.standards import schools_in_force
from labcases.pages.answers import page
from labcases.pages.gates import case_or_404, for_clinicians
from labcases.pages.happenings import lately, log_page
from labcases.pages.prescribing import age_and_sex, work_asked_for
from labcases.pages.ways import stops_of
from labcases.people.queries import laboratory
from labcases.prosthodontics.quantities import QUANTITIES
from labcases.prosthodontics.uncertainty import INSTRUMENTS
from labcases.prosthodontics.wording import in_a_sentence

LATELY = 6


@require_safe
@for_clinicians
def case(request: HttpRequest, number: str) -> HttpResponse:
    found = case_or_404(request, number)
    today = timezone.localdate()
    stages, returns = list(with_stages(found).stages.all()), list(returns_of(found))
    missing = missing_from_prescription(found, laboratory()) if found.is_open else ()
    readings = standing_readings(found)
    context = {
        "case": found,
        "today": today,
        "stages": stages,
        "returns": returns,
        "standing": Standing(found, stages, returns, stops_of(found, stages, returns), missing, today),
        "figures": figures_of_the_chair(readings),
        "freeway": freeway_space_of(readings, usual=schools_in_force(today).freeway_range),
        "specifications": specified(found, readings),
        **lately(events_told_to_the_practice(found), few=LATELY),
        "prescription": prescription_facts(found),
        "signature": _signature(found, missing),
    }
    return page(request, "clinic/case.html", context)


@require_safe
@for_clinicians
def case_log(request: HttpRequest, number: str) -> HttpResponse:
    """All that a practice is told of a case, a page at a time."""
    found = case_or_404(request, number)
    return page(request, "clinic/case_log.html", log_page(request, found, events_told_to_the_practice(found)))


def _signature(case: Any, missing: Iterable[Any]) -> str:
    """Whether the prescription is signed, can be signed now, or needs more first."""
    if case.signed_at:
        return "signed"
    if not case.is_open:
        return ""
    return "ready" if all(each.field == "signed" for each in missing) else "incomplete"


@dataclass(frozen=True)
class ChairFigure:
    """The newest figure of one quantity that the practice took."""

    reading: Any

    @property
    def quantity(self) -> Any:
        return QUANTITIES[self.reading.quantity]

    @property
    def taken(self) -> str:
        """When, and with what where that was said."""
        tool = INSTRUMENTS.get(self.reading.instrument)
        named = (
            in_a_sentence(tool.label) if tool and not self.reading.instrument.startswith("not_stated") else ""
        )
        return ", ".join(filter(None, [self.reading.stage.label, named]))


def figures_of_the_chair(readings: Iterable[Any]) -> list[ChairFigure]:
    newest = {
        reading.quantity: reading
        for reading in readings
        if QUANTITIES[reading.quantity].taken_by == Place.CLINIC
    }
    return [ChairFigure(newest[name]) for name in QUANTITIES if name in newest]


@dataclass(frozen=True)
class Line:
    """One dimension of a specification, with what was measured on the work where it was."""

    dimension: Any
    reading: Any

    @property
    def value(self) -> Any:
        return self.reading.value.normalize() if self.reading else None

    @property
    def judgement(self) -> Any:
        return judgement_of(self.reading, self.dimension) if self.reading else None


@dataclass(frozen=True)
class Specified:
    """The specification of one stage that holds now, arch by arch."""

    kind: StageKind
    issued: Any
    parts: list[tuple[str, list[Line]]]
    is_current: bool

    @property
    def is_measured(self) -> bool:
        return any(line.reading for _arch, lines in self.parts for line in lines)


def specified(case: Any, readings: Iterable[Any]) -> list[Specified]:
    newest = {(each.stage.kind, each.arch, each.quantity): each for each in readings}
    holding: dict[str, Any] = {}
    for issued in specifications_of(case):
        holding.setdefault(issued.stage_kind, issued)
    return [_specified(case, kind, holding[kind], newest) for kind in StageKind if kind in holding]


def _specified(case: Any, kind: StageKind, issued: Any, newest: dict[Any, Any]) -> Specified:
    def lines_of(arch: str) -> list[Line]:
        here = [line for line in issued.lines.all() if line.arch == arch]
        return [Line(line, newest.get((kind.value, arch, line.name))) for line in here]

    parts = [(arch, lines_of(arch)) for arch in case.arch_names]
    return Specified(kind, issued, parts, bool(case.current_stage and case.current_stage.kind == kind))


def prescription_facts(case: Any) -> list[tuple[str, str]]:
    return [
        (_("Prescriber"), str(case.prescriber or "")),
        (_("Patient"), ", ".join(filter(None, [case.patient_code, *age_and_sex(case)]))),
        (_("Order number"), case.order_number),
        *work_asked_for(case),
    ]
