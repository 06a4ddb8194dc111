"""What is measured and prescribed at a clinic stage, as a form; what becomes of the work is added by the record."""

import datetime
from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from labcases.cases.choices import StageKind
from labcases.cases.models import Stage
from labcases.cases.queries import stages_of
from labcases.measurements.actions.clinic import ChairFindings
from labcases.measurements.actions.prescribing import Prescribed
from labcases.measurements.actions.readings import Entry
from labcases.measurements.queries import Box, boxes_for, prescribed_for, standing_readings
from labcases.measurements.rules import OCCLUSION, REST, freeway_from, plain_figure
from labcases.measurements.standards import schools_in_force
from labcases.pages.chair_figures import (
    REPEATED,
    before_in_words,
    entry_of,
    fields_of,
    groups_at,
    initial_of,
    names_of,
    typed_values,
)
from labcases.pages.chairside import ARCH_WORDS, FIGURE, RIM_TITLES
from labcases.pages.fields import FigureField, is_used
from labcases.pages.prescription import DIMENSION, RIMS
from labcases.pages.published_display import guidance_for
from labcases.pages.taking_over import Offer, offers
from labcases.pages.worked_out import Freeway, display_in_words, freeway_worked_out
from labcases.prosthodontics.errors import LabCasesError
from labcases.prosthodontics.guidance import Guidance
from labcases.prosthodontics.millimetres import format_millimetres
from labcases.prosthodontics.quantities import quantity, read_figure
from labcases.prosthodontics.specification.lines import with_unit
from labcases.prosthodontics.specification.rims import PRESCRIBABLE
from labcases.prosthodontics.wording import figure

FREEWAY = "freeway_space"
DISPLAY, DISPLAY_WANTED = "rim_display_at_rest", "incisal_display"
# Stages at which the clinician has the rims in hand, or has just had them.
RIMS_IN_HAND = (StageKind.JAW_RELATION, StageKind.TRY_IN)


class ChairForm(forms.Form):
    """Figures in their groups, the freeway space that follows, and rim dimensions as the clinician wants them."""

    reason = forms.CharField(
        label=_("Why a recorded figure changes"),
        max_length=400,
        required=False,
        help_text=_(
            "Needed only if you changed a figure that stood here. The old one stays, struck through."
        ),
    )
    keep_unusual = forms.BooleanField(required=False, label=_("Look once more"))
    unusual_seen = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, stage: Stage, today: datetime.date) -> None:
        super().__init__(data)
        self.stage, self.case, self.today = stage, stage.case, today
        self.stages = stages_of(self.case)
        self.readings = standing_readings(self.case)
        self.schools = schools_in_force(today)
        self.groups = groups_at(stage.kind, boxes_for(stage, None), self.schools)
        self.usual = self.schools.freeway_range
        self.arches = self.case.arch_names if self._has_rims else ()
        self.dimensions = prescribed_for(self.case, RIMS) if self.arches else {}
        self.unusual: list[str] = []
        self._add_figures()

    def _add_figures(self) -> None:
        for group in self.groups:
            self.fields.update(fields_of(group))
        for arch, name in self._prescribable:
            self.fields[f"{DIMENSION}{arch}_{name}"] = FigureField(name, help_text="")
        if self.arches:
            self.fields["take_over"] = forms.ChoiceField(
                label=_("Make it a change of the rims"),
                choices=self._ways_to_take_over,
                widget=forms.RadioSelect,
                required=False,
            )
        self.initial = initial_of(self.groups) | {
            f"{DIMENSION}{arch}_{name}": plain_figure(value)
            for arch, values in self.dimensions.items()
            for name, value in values.items()
        }

    @property
    def _has_rims(self) -> bool:
        kinds = {each.kind for each in self.stages}
        return self.stage.kind in RIMS_IN_HAND and StageKind.OCCLUSION_RIMS in kinds

    @property
    def _prescribable(self) -> list[tuple[str, str]]:
        return [(arch, name) for arch in self.arches for name in PRESCRIBABLE[arch]]

    # ---- what the template asks for ----

    @property
    def parts(self) -> Iterator[dict[str, Any]]:
        for group in self.groups:
            rows = [self._row(box) for box in group.boxes]
            instrument = group.instrument_name
            used = is_used(box for row in rows for box in row["boxes"])
            yield {
                "group": group.group,
                "repeated": [row for row in rows if len(row["boxes"]) > 1],
                "single": [row for row in rows if len(row["boxes"]) == 1],
                "kinds": [box.quantity for box in group.boxes],
                "instrument": self[instrument] if instrument in self.fields else None,
                "open": not group.group.folded or used,
            }

    def _row(self, box: Box) -> dict[str, Any]:
        return {
            "label": box.quantity.label,
            "boxes": [self[name] for name in names_of(box)],
            "before": before_in_words(box),
        }

    @property
    def rims(self) -> list[dict[str, Any]]:
        """The dimensions that can be prescribed, by arch, each beside the rim as it was made."""
        return [
            {
                "title": RIM_TITLES[arch],
                "rows": [
                    (self[f"{DIMENSION}{arch}_{name}"], self._made_in_words(arch, name))
                    for name in PRESCRIBABLE[arch]
                ],
            }
            for arch in self.arches
        ]

    @property
    def prescribes(self) -> bool:
        return is_used(box for part in self.rims for box, _ in part["rows"])

    @property
    def has_standing(self) -> bool:
        return any(box.standing for box in self._boxes)

    @property
    def _made(self) -> dict[tuple[str, str], Decimal]:
        """The rims as the laboratory last measured them."""
        return {
            (reading.arch, reading.quantity): round(reading.value, 2).normalize()
            for reading in self.readings
            if reading.stage.kind == StageKind.OCCLUSION_RIMS
        }

    def _made_in_words(self, arch: str, name: str) -> str:
        value = self._made.get((arch, name))
        return (
            ""
            if value is None
            else gettext("made: {value}").format(value=with_unit(value, quantity(name).unit))
        )

    # ---- what follows from the figures ----

    @property
    def asks_for_freeway(self) -> bool:
        return all(FIGURE + name in self.fields for name in REPEATED)

    @property
    def works_out(self) -> bool:
        """Whether anything follows from this stage's figures that the clinician should see before sending them."""
        return self.asks_for_freeway or FIGURE + DISPLAY in self.fields

    @property
    def worked_out_from(self) -> list[str]:
        """The fields from which the panel of what follows is worked out."""
        boxes = {box.quantity.name: box for box in self._boxes}
        asked = [name for name in (REST, OCCLUSION, DISPLAY, DISPLAY_WANTED) if name in boxes]
        return [field for name in asked for field in names_of(boxes[name])]

    @property
    def works_out_on(self) -> str:
        """When the panel is worked out anew: on its button, and when a figure that it needs has changed."""
        return ", ".join(["click", *(f"change from:#id_{name}" for name in self.worked_out_from)])

    @property
    def offers(self) -> dict[str, Offer]:
        """Changes of the rims that follow from what was found, each to be prescribed by one tap."""
        shown, wanted = self._display
        found = (
            offers(shown=shown, wanted=wanted, freeway=self.freeway, made=self._made) if self.arches else {}
        )
        return {
            name: offer
            for name, offer in found.items()
            if all(f"{DIMENSION}{arch}_{dimension}" in self.fields for arch, dimension in offer.dimensions)
        }

    def _ways_to_take_over(self) -> list[tuple[str, str]]:
        return [
            ("", gettext("Nothing: the rims stay as they are")),
            *((n, each.words) for n, each in self.offers.items()),
        ]

    @property
    def freeway(self) -> Freeway | None:
        if not self.asks_for_freeway:
            return None
        shown, wanted = self._display
        too_long = shown - wanted if shown is not None and wanted is not None else None
        rest, occlusion = self._typed(REST), self._typed(OCCLUSION)
        return freeway_worked_out(rest, occlusion, usual=self.usual, too_long=too_long)

    @property
    def display(self) -> str:
        shown, wanted = self._display
        return display_in_words(shown, wanted, self._made)

    @property
    def _display(self) -> tuple[Decimal | None, Decimal | None]:
        """What the rim shows at rest and what was wanted, as far as either is known."""
        shown, wanted = self._typed(DISPLAY), self._typed(DISPLAY_WANTED)
        taken = [each.value for each in self.readings if each.quantity == DISPLAY_WANTED]
        aim = wanted[0] if wanted else round(taken[-1], 2) if taken else None
        return shown[0] if shown else None, aim

    @property
    def guidance(self) -> tuple[Guidance, ...]:
        """The published display figures for this patient, where the stage is there to ask for the display wanted."""
        if not any(group.group.key == "lip" and not group.group.folded for group in self.groups):
            return ()
        lip = self._typed("upper_lip_length")
        return guidance_for(
            age=self.case.patient_age,
            sex=self.case.patient_sex,
            lip_length=lip[0] if lip else None,
            first=self.schools.display_guidance,
        )

    def _typed(self, name: str) -> tuple[Decimal, ...]:
        """What stands in a figure's boxes now and can be read; what can't be read yet is left out."""
        box = next((each for each in self._boxes if each.quantity.name == name), None)
        found = []
        for field in names_of(box) if box else ():
            try:
                found.append(read_figure(name, str(self[field].value() or "")))
            except LabCasesError:
                continue
        return tuple(found)

    # ---- what is right and what is not ----

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        self._check_standing(cleaned)
        self._check_freeway(cleaned)
        self._take_over(cleaned)
        return cleaned

    def _take_over(self, cleaned: dict[str, Any]) -> None:
        """Prescribe what was chosen; a dimension that was written by hand goes before it."""
        offer = self.offers.get(cleaned.get("take_over") or "")
        for (arch, name), value in offer.dimensions.items() if offer else ():
            box = f"{DIMENSION}{arch}_{name}"
            if box in self.changed_data:
                continue
            if quantity(name).is_possible(value):
                cleaned[box] = value
            else:
                words = gettext("{figure} would be {value}, which cannot be.").format(
                    figure=quantity(name).label, value=with_unit(value, "mm")
                )
                self.add_error("take_over", words)

    def _check_standing(self, cleaned: dict[str, Any]) -> None:
        for box in self._boxes:
            first = names_of(box)[0]
            if box.standing and not typed_values(box, cleaned) and first not in self.errors:
                stood = with_unit(round(box.standing.value, 2).normalize(), box.standing.unit)
                self.add_error(
                    first,
                    gettext(
                        "{figure} is recorded and stays on record. Correct it rather than empty the box."
                    ).format(figure=stood),
                )
        corrected = any(box.standing for box, _ in self._entries(cleaned))
        if corrected and not cleaned.get("reason", "").strip():
            self.add_error("reason", gettext("Say why the recorded figure changes."))

    def _check_freeway(self, cleaned: dict[str, Any]) -> None:
        space = self._freeway_of(cleaned)
        if space is not None and not quantity(FREEWAY).is_possible(space):
            self.add_error(
                FIGURE + OCCLUSION,
                gettext("The freeway space would be {value}, which cannot be: look at both figures.").format(
                    value=with_unit(space, "mm")
                ),
            )

    def _freeway_of(self, cleaned: dict[str, Any]) -> Decimal | None:
        if not self.asks_for_freeway:
            return None
        values = {box.quantity.name: typed_values(box, cleaned) for box in self._boxes}
        if not values[REST] or not values[OCCLUSION]:
            return None
        space = freeway_from(values[REST], values[OCCLUSION], usual=self.usual)
        return round(Decimal(str(space.value)), 1)

    def check_unusual(self, cleaned: dict[str, Any]) -> None:
        """One look more at unusual figures; a tick counts for just the figures that it was given for."""
        found = [*self._unusual_figures(cleaned), *self._unusual_dimensions(cleaned)]
        key = "; ".join(found)
        if not found or (cleaned.get("keep_unusual") and cleaned.get("unusual_seen") == key):
            return
        self.unusual = found
        self.data = self.data.copy()
        self.data["unusual_seen"] = key
        self.data.pop("keep_unusual", None)
        self.add_error("keep_unusual", f"{key}.")

    def _unusual_figures(self, cleaned: dict[str, Any]) -> Iterator[str]:
        changed = [entry for _, entry in self._entries(cleaned)]
        for entry in changed:
            label = str(quantity(entry.quantity).label)
            yield from _unusual_words(label, entry.quantity, entry.values)
        space = self._freeway_of(cleaned)
        if space is not None and any(entry.quantity in REPEATED for entry in changed):
            yield from _unusual_words(gettext("Freeway space from these"), FREEWAY, [space])

    def _unusual_dimensions(self, cleaned: dict[str, Any]) -> Iterator[str]:
        for (_stage, arch, name), value in self._changed_dimensions(cleaned).items():
            if value is not None:
                yield from _unusual_words(f"{quantity(name).label}, {ARCH_WORDS[arch]}", name, [value])

    # ---- what it comes to ----

    @property
    def _boxes(self) -> list[Box]:
        return [box for group in self.groups for box in group.boxes]

    def _entries(self, cleaned: dict[str, Any]) -> list[tuple[Box, Entry]]:
        found = [(box, entry_of(box, group, cleaned)) for group in self.groups for box in group.boxes]
        return [(box, entry) for box, entry in found if entry is not None]

    def _changed_dimensions(self, cleaned: dict[str, Any]) -> Prescribed:
        typed = {
            (RIMS, arch, name): cleaned.get(f"{DIMENSION}{arch}_{name}") for arch, name in self._prescribable
        }
        return {
            (stage, arch, name): value
            for (stage, arch, name), value in typed.items()
            if value != self.dimensions.get(arch, {}).get(name)
        }

    @property
    def findings(self) -> ChairFindings:
        """What a valid form brings that was not on record yet."""
        entries = self._entries(self.cleaned_data)
        return ChairFindings(
            figures=[entry for box, entry in entries if not box.standing],
            corrections=[(box.standing, entry) for box, entry in entries if box.standing],
            reason=self.cleaned_data["reason"],
            prescribed=self._changed_dimensions(self.cleaned_data),
        )


def _unusual_words(label: str, name: str, values: Iterable[Decimal]) -> Iterator[str]:
    kind = quantity(name)
    low, high = (figure(format_millimetres(limit)) for limit in kind.unusual)
    for value in values:
        if kind.is_unusual(value):
            words = gettext("{label} {value} (usually {low} to {high})")
            yield words.format(label=label, value=with_unit(value, kind.unit), low=low, high=high)
