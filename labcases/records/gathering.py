"""The complete record of a case as plain values, the same for paper and file; `docs/case-record.md` names its keys."""

import datetime
from collections.abc import Callable, Sequence
from typing import Any

from django.db.models import Prefetch, prefetch_related_objects
from django.utils import timezone
from django.utils.translation import gettext as _

from labcases.attachments.models import Attachment
from labcases.cases.chain import is_erased
from labcases.cases.choices import StageKind
from labcases.cases.models import Case, Event, Step
from labcases.cases.queries import returns_of, stages_of
from labcases.cases.rules import is_told_to_the_practice
from labcases.measurements.models import Reading, Specification
from labcases.measurements.queries import every_reading, prescribed_rows
from labcases.people.queries import laboratory
from labcases.prosthodontics.quantities import QUANTITIES
from labcases.prosthodontics.uncertainty import INSTRUMENTS
from labcases.prosthodontics.wording import Words
from labcases.records.checking import check
from labcases.records.queries import kept_until
from labcases.tickets.models import WorkTicket

FORMAT, VERSION = "labcases case record", 1
# Entered no more than this after it was measured, a figure counts as entered at once.
AT_ONCE = datetime.timedelta(minutes=5)
Record = dict[str, Any]
InWords = Callable[[Sequence[Event]], Sequence[str]]


def case_record(case: Case, *, for_practice: bool, now: datetime.datetime, in_words: InWords) -> Record:
    """Everything that is kept of a case; for its practice without what is the laboratory's own matter.

    That is who was given which work and ticked which step, and the entries of the log about it.
    """
    checked = check(case)
    house = laboratory()
    return {
        "format": FORMAT,
        "version": VERSION,
        "made_at": now,
        "time_zone": timezone.get_current_timezone_name(),
        "made_for": "practice" if for_practice else "laboratory",
        "laboratory": {"name": house.name, "address": house.address},
        "case": _case(case, timezone.localdate(now)),
        "practice": {
            "code": case.practice.code,
            "name": case.practice.name,
            "address": case.practice.address,
        },
        "prescription": _prescription(case),
        "prescribed_dimensions": [_prescribed(row) for row in prescribed_rows(case).reverse()],
        "stages": [_stage(stage, for_practice) for stage in _stages(case)],
        "returns": [_return(each) for each in returns_of(case)],
        "disinfections": [
            _disinfection(row) for row in case.disinfections.select_related("by", "stage__case")
        ],
        "specifications": [_specification(each) for each in _specifications(case)],
        "readings": [_reading(each) for each in every_reading(case)],
        "work_tickets": [_ticket(each) for each in _tickets(case)],
        "files": [_file(each) for each in _files(case, for_practice)],
        "log": _log(case, for_practice, in_words),
        "chain": {
            "entries": checked.entries,
            "end": checked.case.log_digest,
            "holds": checked.is_sound,
            "first_broken_link": checked.broken,
        },
    }


def _case(case: Case, today: datetime.date) -> Record:
    return {
        "number": case.number,
        "kind": case.get_kind_display(),
        "arches": case.get_arches_display(),
        "state": case.get_state_display(),
        "place": case.get_location_display() if case.is_open else "",
        "opened_at": case.opened_at,
        "opened_by": str(case.opened_by),
        "completed_at": case.completed_at,
        "kept_until": kept_until(case, today=today),
    }


def _prescription(case: Case) -> Record:
    return {
        "prescriber": str(case.prescriber or ""),
        "licence_number": case.prescriber.licence_number if case.prescriber else "",
        "order_number": case.order_number,
        "patient_code": case.patient_code,
        "patient_age": case.patient_age,
        "patient_sex": case.get_patient_sex_display(),
        "work": case.work_description,
        "impression_material": case.get_impression_material_display(),
        "base_material": case.base_material,
        "shade": case.shade,
        "tooth_wishes": case.tooth_wishes,
        "subcontractor": case.subcontractor,
        "notes": case.notes,
        "signed_by": str(case.signed_by or ""),
        "signed_at": case.signed_at,
    }


def _prescribed(row: Any) -> Record:
    return {
        "stage": StageKind(row.stage_kind).label,
        "arch": row.arch,
        "dimension": row.dimension,
        "label": _label(row.dimension),
        "value": row.value,
        "unit": QUANTITIES[row.dimension].unit if row.dimension in QUANTITIES else "",
        "by": str(row.by),
        "at": row.at,
    }


def _stages(case: Case) -> list[Any]:
    stages = stages_of(case)
    steps = Prefetch("steps", queryset=Step.objects.select_related("done_by").order_by("position"))
    prefetch_related_objects(stages, steps)
    return stages


def _stage(stage: Any, for_practice: bool) -> Record:
    said = {
        "stage": stage.label,
        "place": stage.get_place_display(),
        "state": stage.get_state_display(),
        "due_on": stage.due_on,
        "started_at": stage.started_at,
        "finished_at": stage.finished_at,
        "finished_by": str(stage.finished_by or ""),
        "outcome": stage.outcome,
    }
    if for_practice:
        return said
    steps = [
        {"step": Words(step.text), "done_at": step.done_at, "done_by": str(step.done_by or "")}
        for step in stage.steps.all()
    ]
    return {**said, "given_to": str(stage.assignee or ""), "planned_on": stage.planned_on, "steps": steps}


def _return(row: Any) -> Record:
    return {
        "from": row.from_stage.label,
        "to": row.to_stage.label,
        "visit": row.visit,
        "cause": row.get_cause_display(),
        "note": row.note,
        "by": str(row.by),
        "at": row.at,
    }


def _disinfection(row: Any) -> Record:
    return {
        "stage": row.stage.label,
        "agent": row.agent,
        "minutes": row.minutes,
        "minutes_required": row.minutes_required,
        "by": str(row.by),
        "at": row.at,
    }


def _specifications(case: Case) -> list[Specification]:
    order = list(StageKind)
    found = case.specifications.select_related("issued_by", "standard").prefetch_related("lines")
    return sorted(found, key=lambda each: (order.index(each.stage_kind), each.revision))


def _specification(issued: Specification) -> Record:
    return {
        "stage": issued.get_stage_kind_display(),
        "revision": issued.revision,
        "issued_at": issued.issued_at,
        "issued_by": str(issued.issued_by),
        "lab_standard": str(issued.standard) if issued.standard else _("as delivered"),
        "rule": issued.rule,
        "from_figures": issued.inputs,
        "notes": [Words(note["text"]) for note in issued.notes],
        "lines": [_line(line) for line in issued.lines.all()],
    }


def _line(line: Any) -> Record:
    return {
        "arch": line.arch,
        "dimension": line.name,
        "label": Words(line.label),
        "target": line.target,
        "lower": line.lower,
        "upper": line.upper,
        "unit": line.unit,
        "uncertainty": line.uncertainty,
        "wording": Words(line.wording),
        "basis": line.basis,
        "why": Words(line.why),
        "formula": Words(line.formula),
        "source": Words(line.source),
    }


def _reading(reading: Reading) -> Record:
    tool = INSTRUMENTS.get(reading.instrument)
    return {
        "reading": reading.pk,
        "stage": reading.stage.label,
        "quantity": reading.quantity,
        "label": _label(reading.quantity),
        "arch": reading.arch,
        "repeats": reading.repeats,
        "value": reading.value,
        "unit": reading.unit,
        "uncertainty": reading.uncertainty,
        "instrument": tool.label if tool else reading.instrument,
        "by": str(reading.by),
        "measured_at": reading.measured_at,
        "entered_at": reading.entered_at,
        "entered_late": reading.entered_at - reading.measured_at > AT_ONCE,
        "corrects": reading.supersedes_id,
        "corrected_by": reading.superseded_by.pk if hasattr(reading, "superseded_by") else None,
        "reason": reading.reason,
        "verdict": reading.get_verdict_display(),
        "verdict_words": reading.verdict_words,
    }


def _tickets(case: Case) -> Any:
    found = WorkTicket.objects.filter(stage__case=case).select_related("stage", "specification", "issued_by")
    return found.defer("pdf").order_by("issued_at", "pk")


def _ticket(ticket: WorkTicket) -> Record:
    return {
        "stage": ticket.stage.label,
        "revision": ticket.specification.revision if ticket.specification else None,
        "paper": ticket.get_paper_display(),
        "pages": ticket.pages,
        "sha256": ticket.sha256,
        "issued_by": str(ticket.issued_by),
        "issued_at": ticket.issued_at,
    }


def _files(case: Case, for_practice: bool) -> list[Attachment]:
    """Photographs, papers and scans by what they are; a practice is not told of those put out of sight."""
    found = case.attachments.select_related("stage__case", "by").order_by("at", "pk")
    return [each for each in found if each.removed_at is None or not for_practice]


def _file(kept: Attachment) -> Record:
    return {
        "file": kept.title,
        "belongs_to": kept.belongs_to,
        "caption": kept.caption,
        "bytes": kept.size,
        "sha256": kept.sha256,
        "by": str(kept.by),
        "at": kept.at,
        "removed_at": kept.removed_at,
        "removal_reason": kept.removal_reason,
        "is_erased": not kept.file,
    }


def _log(case: Case, for_practice: bool, in_words: InWords) -> list[Record]:
    events = case.events.select_related("by", "stage").order_by("position")
    told = [event for event in events if not for_practice or is_told_to_the_practice(event)]
    pairs = zip(told, in_words(told), strict=True)
    return [_entry(event, words, for_practice) for event, words in pairs]


def _entry(event: Event, words: str, for_practice: bool) -> Record:
    said = {
        "entry": event.position,
        "act": event.get_act_display(),
        "stage": event.stage.label if event.stage else "",
        "words": words,
        "reason": event.reason,
        "by": str(event.by),
        "at": event.at,
        "digest": event.digest,
    }
    if for_practice:
        return said
    return {**said, "before": _readable(event.before), "after": _readable(event.after)}


def _readable(values: dict[str, Any]) -> dict[str, Any]:
    return {key: _("erased") if is_erased(value) else value for key, value in values.items()}


def _label(quantity: str) -> str:
    return QUANTITIES[quantity].label if quantity in QUANTITIES else quantity
