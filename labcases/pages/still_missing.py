"""What a prescription still lacks while it is written, each beside the boxes that answer it."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from django.forms import BoundField

from labcases.cases.choices import OPEN_STATES, StageKind
from labcases.cases.queries import every_path
from labcases.cases.rules import WORDS
from labcases.pages.fields import is_used

TRAY_NEEDS = "impression_material"
NEEDED = (
    "prescriber",
    "patient_code",
    "work_description",
    TRAY_NEEDS,
    "base_material",
    "subcontractor",
)


@dataclass(frozen=True)
class Need:
    """One thing that must be written, the boxes of which any one answers it, and whether one does.

    Where `kinds` and `starts` name any, it is asked for with those kinds of work and places to come in alone.
    """

    words: str
    boxes: list[str]
    is_there: bool
    kinds: list[str] = field(default_factory=list)
    starts: list[str] = field(default_factory=list)


def needs_of(form: Any, *, days: Sequence[BoundField]) -> list[Need]:
    """What the bench cannot begin without and a box of the prescription form answers, as the boxes stand now."""
    boxes = {
        name: [form[name]]
        for name in NEEDED
        if name != TRAY_NEEDS or not form.case or _tray_is_open(form.case)
    }
    if days:
        boxes["wanted_on"] = list(days)
    if not (form.case and form.case.signed_at):
        boxes["signed"] = [form["sign"]]
    needs = {
        name: Need(WORDS[name], [box.auto_id for box in each], is_used(each)) for name, each in boxes.items()
    }
    if not form.case:
        needs[TRAY_NEEDS] = _where_a_tray_is_made(form, needs[TRAY_NEEDS])
    return list(needs.values())


def _tray_is_open(case: Any) -> bool:
    return any(each.kind == StageKind.CUSTOM_TRAY and each.state in OPEN_STATES for each in case.stages.all())


def _where_a_tray_is_made(form: Any, need: Need) -> Need:
    """A new prescription can still become one without a tray; its page knows for which choices it is asked."""
    paths = every_path()
    trays = {kind: path for kind, path in paths.items() if StageKind.CUSTOM_TRAY in path}
    starts = {str(each) for path in trays.values() for each in path[: path.index(StageKind.CUSTOM_TRAY) + 1]}
    kind, start = form["kind"].value(), form["starts_at"].value()
    path = paths.get(kind, ())
    is_asked = StageKind.CUSTOM_TRAY in (path[path.index(start) :] if start in path else path)
    return replace(
        need,
        is_there=need.is_there or not is_asked,
        kinds=[*trays],
        starts=["", *sorted(starts)] if trays else [],
    )
