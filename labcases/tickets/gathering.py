"""Reads of one stage put into words for its ticket. Two gatherings of an unchanged stage are equal."""

import datetime

from django.conf import settings
from django.db.models import prefetch_related_objects
from django.utils import timezone, translation
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from labcases.cases.choices import OPEN_STATES, Place
from labcases.cases.models import Case, Return, Stage
from labcases.cases.queries import checklist_for
from labcases.measurements.derivations import what_follows
from labcases.measurements.derivations.lines import COVERAGE, number
from labcases.measurements.models import Reading, Specification
from labcases.measurements.queries import (
    Box,
    boxes_for,
    changes_between,
    figures_of,
    pure_specification,
    revisions,
    standing_readings,
)
from labcases.measurements.standards import plain_standard, schools_in_force
from labcases.people.queries import laboratory
from labcases.prosthodontics.conformity import Rule
from labcases.prosthodontics.outline import READ
from labcases.prosthodontics.specification import lines as core
from labcases.prosthodontics.uncertainty import INSTRUMENTS
from labcases.prosthodontics.wording import Words, figure, in_a_sentence
from labcases.tickets.drawing import DrawingFacts
from labcases.tickets.facts import (
    ArchFacts,
    FigureFacts,
    LineFacts,
    MeasuredFacts,
    SpecificationFacts,
    StepFacts,
    TicketFacts,
)

# What the arch's curve is drawn from, where it was measured on the cast.
OF_THE_CAST = frozenset(READ)


def gather_facts(stage: Stage, *, now: datetime.datetime | None = None) -> TicketFacts:
    """Everything that the ticket of a laboratory stage says, as it stands in the database now, in its own language.

    The day of `now`, today unless given, decides which of the laboratory's choices hold where the stage has no
    specification of its own.
    """
    with translation.override(settings.LANGUAGE_CODE):
        return _gathered(stage, timezone.localdate(now))


def _gathered(stage: Stage, today: datetime.date) -> TicketFacts:
    case, house = stage.case, laboratory()
    issued = list(revisions(case, stage.kind)[:2])
    boxes = boxes_for(stage, issued[0] if issued else None)
    following = _next_clinic_stage(stage)
    return TicketFacts(
        laboratory=house.name,
        laboratory_address=house.address,
        case_number=case.number,
        case_kind=case.get_kind_display(),
        arches=case.get_arches_display(),
        practice=case.practice.name,
        practice_code=case.practice.code,
        practice_address=" ".join(case.practice.address.split()),
        prescriber=str(case.prescriber or ""),
        licence_number=case.prescriber.licence_number if case.prescriber else "",
        signed=_("Signed {moment}").format(moment=moment(case.signed_at)) if case.signed_at else "",
        patient_code=case.patient_code,
        stage_kind=stage.kind,
        stage=stage.label,
        visit=stage.visit,
        assignee=str(stage.assignee or ""),
        planned=day(stage.planned_on),
        due=day(stage.due_on),
        wanted_back=day(following.due_on) if following else "",
        wanted_for=following.label if following else "",
        work_description=case.work_description,
        impression_material=case.get_impression_material_display(),
        base_material=case.base_material,
        shade=case.shade,
        tooth_wishes=case.tooth_wishes,
        notes=case.notes,
        subcontractor=case.subcontractor,
        disinfected=_disinfected(case),
        came_back=_came_back(stage),
        specification=_specification(issued[0], case, boxes) if issued else None,
        changes=changes_in_words(*reversed(issued)) if len(issued) == 2 else (),
        steps=_steps(stage),
        figures=tuple(_figure(box) for box in boxes if box.line is None),
        follows=what_follows(
            stage, specification=issued[0] if issued else None, today=today, with_strips=True
        ),
        retention_years=schools_in_force(today).retention_years,
    )


def day(value: datetime.date | None) -> str:
    return date_format(value, _("D j M Y")) if value else ""


def moment(value: datetime.datetime) -> str:
    local = timezone.localtime(value)
    return f"{day(local)}, {local:%H:%M}"


def drawing_facts(issued: Specification, boxes: list[Box]) -> dict[str, DrawingFacts]:
    """What each arch is drawn from on a sheet, the same as on its ticket; `boxes` are those of the stage."""
    readings = [reading for box in boxes if (reading := box.standing or box.before)]
    if issued.standard:
        prefetch_related_objects([issued.standard], "norms")
    return {
        arch: _arch(issued, arch, boxes, readings).drawn(issued.stage_kind) for arch in issued.case.arch_names
    }


def changes_in_words(old: Specification, new: Specification) -> tuple[str, ...]:
    """What a newer revision of a specification says otherwise, one sentence for each line."""
    return tuple(
        f"{str(Words(arch)).capitalize()}, {change.words}" for arch, change in changes_between(old, new)
    )


def _next_clinic_stage(stage: Stage) -> Stage | None:
    later = stage.case.stages.filter(
        place=Place.CLINIC, position__gt=stage.position, state__in=OPEN_STATES
    ).order_by("position")
    return later.first()


def _disinfected(case: Case) -> tuple[str, ...]:
    last = case.disinfections.select_related("by").last()
    if last is None:
        return ()
    words = _("{agent}, {minutes} min (the label asks {required}); {by}, {moment}")
    return (
        words.format(
            agent=last.agent,
            minutes=last.minutes,
            required=last.minutes_required,
            by=last.by,
            moment=moment(last.at),
        ),
    )


def _came_back(stage: Stage) -> str:
    """Why a visit after the first repeats work."""
    found = (
        Return.objects.filter(case=stage.case, visit=stage.visit).select_related("by", "from_stage").first()
    )
    if found is None:
        return ""
    sent = _("Sent back from {stage} by {by}, {moment}.").format(
        stage=in_a_sentence(found.from_stage.label), by=found.by, moment=moment(found.at)
    )
    return " ".join(filter(None, (f"{found.get_cause_display()}.", found.note, sent)))


def _steps(stage: Stage) -> tuple[StepFacts, ...]:
    own = list(stage.steps.select_related("done_by"))
    if not own:
        return tuple(StepFacts(text=text) for text in checklist_for(stage.kind))
    return tuple(
        StepFacts(
            text=Words(step.text), done=f"{step.done_by}, {moment(step.done_at)}" if step.done_at else ""
        )
        for step in own
    )


def _specification(issued: Specification, case: Case, boxes: list[Box]) -> SpecificationFacts:
    readings = standing_readings(case)
    rule = str(Rule(issued.rule).words)
    arches = [_arch(issued, arch, boxes, readings) for arch in case.arch_names]
    choices = pure_specification(issued, case.arch_names[0]).choices
    return SpecificationFacts(
        revision=issued.revision,
        issued=moment(issued.issued_at),
        issued_by=str(issued.issued_by),
        rule="" if any(rule in str(choice) for choice in choices) else rule,
        choices=choices,
        arches=tuple(arches),
    )


def _arch(issued: Specification, arch: str, boxes: list[Box], readings: list[Reading]) -> ArchFacts:
    plain, schools = pure_specification(issued, arch), plain_standard(issued.standard).schools
    taken = {box.line.name: box for box in boxes if box.line and box.arch == arch}
    cast = {name: figure.value for name, figure in figures_of(readings, arch).items() if name in OF_THE_CAST}
    return ArchFacts(
        arch=arch,
        lines=tuple(_line(each, taken.get(each.name)) for each in plain.dimensions),
        notes=plain.notes,
        cast=tuple(sorted(cast.items())),
        papilla_reference=schools.papilla_reference,
        pad_level=float(schools.pad_fraction),
        corrected=schools.arch_correction == "corrected",
    )


def _line(line: core.Dimension, box: Box | None) -> LineFacts:
    return LineFacts(
        name=line.name,
        label=line.label,
        target=line.target,
        figure=core.figure(line.target, line.unit) if line.target is not None else "",
        unit=line.unit,
        unit_sign=core.UNIT_SIGNS.get(line.unit, ""),
        limits=line.limits_in_words.strip(" ()"),
        wording=line.wording,
        basis=line.basis.value,
        why=line.why,
        source=line.source,
        formula=line.formula,
        measurable=line.measurable,
        measured=_measured(box) if box else None,
        spread=number(COVERAGE * float(line.uncertainty)) if line.uncertainty else "",
    )


def _figure(box: Box) -> FigureFacts:
    return FigureFacts(
        label=box.quantity.label,
        arch=box.arch,
        unit_sign=core.UNIT_SIGNS[box.quantity.unit].strip(),
        between=box.quantity.landmarks,
        measured=_measured(box),
    )


def _measured(box: Box) -> MeasuredFacts | None:
    """What was taken at this stage; for a figure that nothing is held against, what was taken before it."""
    reading = box.standing or (box.before if box.line is None else None)
    if reading is None:
        return None
    judgement = box.judgement if reading is box.standing else None
    return MeasuredFacts(
        figure=core.figure(reading.value.normalize(), reading.unit),
        repeats=_listed(reading.repeats) if len(reading.repeats) > 1 else "",
        verdict=judgement.verdict.value if judgement else "",
        words=str(judgement.words) if judgement else "",
        instrument=_instrument(reading.instrument),
        taken=f"{reading.by}, {moment(reading.measured_at)}",
    )


def _listed(repeats: list[str]) -> str:
    """Repeats in a row; where the decimal mark is a comma, one from the other by semicolons."""
    between = "; " if figure(".") == "," else ", "
    return between.join(figure(text) for text in repeats)


def _instrument(name: str) -> str:
    return in_a_sentence(INSTRUMENTS[name].label) if name in INSTRUMENTS else ""
