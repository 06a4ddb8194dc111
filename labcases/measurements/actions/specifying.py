"""Issuing specifications: computed from the figures that stand, kept for ever, renewed when a figure changes."""

import datetime
from collections.abc import Iterable, Sequence
from decimal import Decimal

from django.conf import settings
from django.db import transaction
from django.utils import translation

from labcases.cases.actions.guards import locked, log
from labcases.cases.choices import OPEN_STATES, WORK_STATES, Act
from labcases.cases.models import Case
from labcases.cases.rules import laboratory_day
from labcases.measurements.models import Reading, Specification, SpecificationLine
from labcases.measurements.queries import (
    SPECIFIED_STAGES,
    current_specification,
    figures_of,
    prescribed_for,
    pure_line,
    standing_readings,
)
from labcases.measurements.standards import plain_standard, stored_standard
from labcases.people.models import User
from labcases.prosthodontics.specification import lines as core
from labcases.prosthodontics.specification.base import specify_record_base
from labcases.prosthodontics.specification.basis import Figure
from labcases.prosthodontics.specification.rims import specify_rims
from labcases.prosthodontics.specification.tray import specify_tray
from labcases.prosthodontics.standard import LabStandard


@transaction.atomic
def issue_specification(*, case: Case, stage_kind: str, by: User, now: datetime.datetime) -> Specification:
    """Compute a stage's specification and issue it, unless the current revision already says just this.

    Work that has begun keeps to the lab standard under which it was specified; other work takes that of `now`.
    """
    case = locked(case.pk)
    return _issue(case, stage_kind, standing_readings(case), by=by, now=now)


def _issue(
    case: Case, stage_kind: str, readings: Sequence[Reading], *, by: User, now: datetime.datetime
) -> Specification:
    """For a case that is locked, with the readings that stand."""
    current = current_specification(case, stage_kind)
    has_begun = case.stages.filter(kind=stage_kind, state__in=WORK_STATES).exists()
    stored = current.standard if current and has_begun else stored_standard(laboratory_day(now))
    with translation.override(settings.LANGUAGE_CODE):
        standard = plain_standard(stored)
        computed = compute(case, stage_kind, standard, readings)
    notes = _notes(computed)
    if current and _says(current) == (_as_stored(computed), notes, standard.schools.rule.value):
        return current
    issued = Specification.objects.create(
        case=case,
        stage_kind=stage_kind,
        revision=current.revision + 1 if current else 1,
        standard=stored,
        rule=standard.schools.rule.value,
        inputs=_inputs(readings),
        notes=notes,
        issued_by=by,
        issued_at=now,
    )
    lines = SpecificationLine.objects.bulk_create(
        _line(dimension, position, issued) for position, dimension in enumerate(_dimensions(computed), 1)
    )
    log(
        case,
        Act.SPECIFIED,
        by=by,
        now=now,
        after={"stage": stage_kind, "revision": issued.revision},
        of=[issued, *lines],
    )
    return issued


def reissue(*, case: Case, by: User, now: datetime.datetime) -> list[Specification]:
    """Issue anew whatever the case's figures now change, for stages of its path that are still to be done.

    A tray waits until the prescription names the impression material, which its spacer depends on.
    """
    case = locked(case.pk)
    open_kinds = set(case.stages.filter(state__in=OPEN_STATES).values_list("kind", flat=True))
    if not case.impression_material:
        open_kinds.discard("custom_tray")
    readings = standing_readings(case)
    return [_issue(case, kind, readings, by=by, now=now) for kind in SPECIFIED_STAGES if kind in open_kinds]


def compute(
    case: Case, stage_kind: str, standard: LabStandard, readings: Sequence[Reading]
) -> list[core.Specification]:
    """The specification of each arch of the case, from the readings that stand."""
    prescribed = prescribed_for(case, stage_kind)
    done: list[core.Specification] = []
    for arch in case.arch_names:
        figures = figures_of(readings, arch)
        if stage_kind == "occlusion_rims" and arch == "mandibular":
            figures = _with_opposing_height(figures, done)
        done.append(_specify(case, stage_kind, arch, figures, prescribed.get(arch, {}), standard))
    return done


def _specify(
    case: Case,
    stage_kind: str,
    arch: str,
    figures: dict[str, Figure],
    prescribed: dict[str, Decimal],
    standard: LabStandard,
) -> core.Specification:
    if stage_kind == "custom_tray":
        return specify_tray(
            arch,
            impression_material=case.impression_material,
            figures=figures,
            prescribed=prescribed,
            standard=standard,
        )
    specify = specify_record_base if stage_kind == "record_base" else specify_rims
    return specify(arch, figures=figures, prescribed=prescribed, standard=standard)


def _with_opposing_height(figures: dict[str, Figure], done: list[core.Specification]) -> dict[str, Figure]:
    """The upper rim as it is specified is what the lower rim's height is the rest of, unless it was measured."""
    if "intersulcus_distance" not in figures or "opposing_anterior_height" in figures or not done:
        return figures
    upper = done[0].dimension("anterior_height")
    if upper.target is None:
        return figures
    return {**figures, "opposing_anterior_height": Figure(upper.target, upper.uncertainty)}


def _dimensions(computed: list[core.Specification]) -> list[core.Dimension]:
    return [dimension for specification in computed for dimension in specification.dimensions]


def _line(dimension: core.Dimension, position: int, issued: Specification | None) -> SpecificationLine:
    return SpecificationLine(
        specification=issued,
        position=position,
        arch=dimension.arch,
        name=dimension.name,
        label=_plain(dimension.label),
        target=_rounded(dimension.target, 3),
        lower=_rounded(dimension.lower, 3),
        upper=_rounded(dimension.upper, 3),
        unit=dimension.unit,
        wording=_plain(dimension.wording),
        basis=dimension.basis.value,
        source=_plain(dimension.source),
        why=_plain(dimension.why),
        formula=_plain(dimension.formula),
        uncertainty=_rounded(dimension.uncertainty, 4),
        measurable=dimension.measurable,
    )


def _plain(text: str) -> str:
    """A fixed text as the English that is stored, to be said in each reader's language; a made one as it is."""
    return text[:]


def _rounded(value: Decimal | None, places: int) -> Decimal | None:
    return None if value is None else round(value, places)


def _as_stored(computed: list[core.Specification]) -> list[core.Dimension]:
    return [pure_line(_line(dimension, 0, None)) for dimension in _dimensions(computed)]


def _says(issued: Specification) -> tuple[list[core.Dimension], list[dict[str, str]], str]:
    return [pure_line(line) for line in issued.lines.all()], issued.notes, issued.rule


def _notes(computed: list[core.Specification]) -> list[dict[str, str]]:
    notes = [{"arch": each.arch, "text": _plain(note)} for each in computed for note in each.notes]
    choices = {choice: None for each in computed for choice in each.choices}
    return notes + [{"arch": "", "text": choice} for choice in choices]


def _inputs(readings: Iterable[Reading]) -> dict[str, str]:
    return {
        f"{reading.arch or 'patient'} {reading.quantity}": f"{reading.value.normalize():f} {reading.unit}"
        for reading in readings
    }
