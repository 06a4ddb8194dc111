"""What a prescription still lacks while it is written, each beside the boxes that answer it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.forms import BoundField

from labcases.cases.choices import OPEN_STATES, CaseKind, StageKind
from labcases.cases.queries import path_for
from labcases.cases.rules import WORDS
from labcases.pages.fields import is_used

NEEDED = (
    "prescriber",
    "patient_code",
    "work_description",
    "impression_material",
    "base_material",
    "subcontractor",
)


@dataclass(frozen=True)
class Need:
    """One thing that must be written, the boxes of which any one answers it, and whether one does."""

    words: str
    boxes: list[str]
    is_there: bool


def needs_of(form: Any, *, days: Sequence[BoundField]) -> list[Need]:
    """What the bench cannot begin without and a box of the prescription form answers, as the boxes stand now."""
    boxes = {name: [form[name]] for name in NEEDED if name != "impression_material" or makes_a_tray(form)}
    if days:
        boxes["wanted_on"] = list(days)
    if not (form.case and form.case.signed_at):
        boxes["signed"] = [form["sign"]]
    return [Need(WORDS[name], [box.auto_id for box in each], is_used(each)) for name, each in boxes.items()]


def makes_a_tray(form: Any) -> bool:
    """Whether the custom tray is still to be made, as far as the form says so yet."""
    if form.case:
        stages = form.case.stages.all()
        return any(each.kind == StageKind.CUSTOM_TRAY and each.state in OPEN_STATES for each in stages)
    kind, start = form["kind"].value(), form["starts_at"].value()
    path = [each.value for each in path_for(kind)] if kind in CaseKind.values else []
    return StageKind.CUSTOM_TRAY in (path[path.index(start) :] if start in path else path)
