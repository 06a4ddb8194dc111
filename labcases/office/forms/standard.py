"""The laboratory's dated standard as one form: a row for each dimension, and the choices between schools."""

import datetime
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from labcases.cases.choices import StageKind
from labcases.measurements.actions.standard import OwnNorm
from labcases.pages.fields import FigureField
from labcases.pages.prescription import DayField
from labcases.prosthodontics.millimetres import MillimetreError, format_millimetres, parse_millimetres
from labcases.prosthodontics.quantities import ARCHES, QUANTITIES
from labcases.prosthodontics.specification.basis import label_of
from labcases.prosthodontics.standard import (
    HOUSE_STANDARD,
    MATERIALS,
    SCHOOL_CHOICES,
    LabStandard,
    Norm,
    labial_offset_norm,
)
from labcases.prosthodontics.wording import Words, figure

OFFSET = ("occlusion_rims", "maxillary", "labial_offset")
SPACER = "spacer_thickness"
# What a spacer is made for: a material of the impression, or a way of taking it.
SPACERS_FOR = {
    **MATERIALS,
    "close_fitting": Words("close fitting"),
    "selective_pressure": Words("selective pressure"),
    "full_sheet": Words("full sheet"),
}
ARCH_WORDS = {"maxillary": Words("maxillary"), "mandibular": Words("mandibular")}


class StandardForm(forms.Form):
    """The laboratory's figures with what may be less and more, its rules in words, and its choices of school.

    `standard` holds the figures shown at first. A figure left as delivered is not stored, so that it keeps its source.
    """

    valid_from = DayField(
        label=_("Holds from"), help_text=_("Today or later; earlier days keep what they had.")
    )
    note = forms.CharField(label=_("What changed and why"), max_length=400, required=False)

    def __init__(self, data: Any = None, *, standard: LabStandard, today: datetime.date) -> None:
        super().__init__(data, initial={"valid_from": today})
        self.standard, self.today = standard, today
        for choice in SCHOOL_CHOICES:
            self.fields[f"school_{choice.name}"] = forms.ChoiceField(
                label=choice.label,
                choices=choice.options,
                help_text=choice.why,
                initial=getattr(standard.schools, choice.name),
            )
        for norm in standard.norms:
            self.fields.update(_norm_fields(norm))

    @property
    def schools(self) -> list[forms.BoundField]:
        return [self[f"school_{choice.name}"] for choice in SCHOOL_CHOICES]

    @property
    def stages(self) -> list[tuple[str, list["NormRow"]]]:
        """Rows of the table by stage, one for each dimension."""
        rows: dict[str, dict[str, NormRow]] = {}
        for norm in self.standard.norms:
            of_stage = rows.setdefault(norm.stage, {})
            of_stage.setdefault(norm.dimension, NormRow(self, norm.dimension)).norms[norm.arch] = norm
        return [(StageKind(stage).label, list(found.values())) for stage, found in rows.items()]

    def clean_valid_from(self) -> datetime.date:
        day = self.cleaned_data["valid_from"] or self.today
        if day < self.today:
            raise forms.ValidationError(_("A standard holds from today or later."))
        return day

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        moved = cleaned.get("school_papilla_reference") != self.standard.schools.papilla_reference
        box = _norm_name(OFFSET, "target")
        if moved and box not in self.changed_data and not self._offset_is_delivered():
            self.add_error(
                box, _("The distance belongs to the papilla point; give the one for the new point.")
            )
        return cleaned

    def _offset_is_delivered(self) -> bool:
        delivered = labial_offset_norm(self.standard.schools.papilla_reference)
        return self.standard.find(*OFFSET) == delivered

    @property
    def chosen_schools(self) -> dict[str, str]:
        return {choice.name: self.cleaned_data[f"school_{choice.name}"] for choice in SCHOOL_CHOICES}

    def own_norms(self) -> list[OwnNorm]:
        """The figures that differ from the delivered ones."""
        found = [_own(norm, self.cleaned_data) for norm in self.standard.norms]
        return [own for own in found if not self._is_delivered(own)]

    def _is_delivered(self, own: OwnNorm) -> bool:
        key = (own.stage_kind, own.arch, own.dimension)
        if (
            key == OFFSET
            and self._offset_is_delivered()
            and _norm_name(OFFSET, "target") not in self.changed_data
        ):
            return True  # it moves with the papilla point
        house = HOUSE_STANDARD.find(*key)
        if house is None:
            return False
        if own.target is None:
            return own.note == house.note
        return (own.target, own.minus, own.plus) == (house.target, house.minus, house.plus)


@dataclass
class NormRow:
    """One dimension of a stage as the table shows it, with its boxes for each arch that has it."""

    form: StandardForm
    dimension: str
    norms: dict[str, Norm] = field(default_factory=dict)

    @property
    def label(self) -> str:
        return norm_label(self.dimension)

    @property
    def is_wording(self) -> bool:
        return next(iter(self.norms.values())).target is None

    @property
    def unit(self) -> str:
        return next(iter(self.norms.values())).unit

    @property
    def cells(self) -> list[dict[str, Any]]:
        return [self._cell(arch, self.norms.get(arch)) for arch in ARCHES]

    def _cell(self, arch: str, norm: Norm | None) -> dict[str, Any]:
        parts = () if norm is None else ("wording",) if norm.target is None else ("target", "minus", "plus")
        boxes = {part: self.form[_norm_name(norm.key, part)] for part in parts if norm}
        errors = [error for box in boxes.values() for error in box.errors]
        return {"arch": arch, "boxes": boxes, "errors": errors}

    @property
    def sources(self) -> list[str]:
        """Where the figures come from, each source once."""
        return list(dict.fromkeys(norm.source.words for norm in self.norms.values()))

    @property
    def rests_on(self) -> str:
        """The class of evidence in a word or two; the citation stands behind it."""
        norms = self.norms.values()
        if any(HOUSE_STANDARD.find(*norm.key) != norm for norm in norms):
            return str(_("our own"))
        return ", ".join(dict.fromkeys(str(norm.source.provenance.words) for norm in norms))

    @property
    def notes(self) -> list[str]:
        if self.is_wording:
            return []
        return list(dict.fromkeys(norm.note for norm in self.norms.values() if norm.note))


class ToleranceField(forms.CharField):
    """What may be less or more than a target, in its unit; empty is nothing."""

    def __init__(self, unit: str, **kwargs: Any) -> None:
        self.unit = unit
        super().__init__(required=False, max_length=40, **kwargs)

    def clean(self, value: Any) -> Decimal:
        text = super().clean(value)
        try:
            return parse_millimetres(text, unit=self.unit) if text.strip() else Decimal(0)
        except MillimetreError as error:
            raise forms.ValidationError(error.message) from error


def norm_label(dimension: str) -> str:
    """The name of a norm's dimension; a spacer is also named for what it is made for."""
    if dimension in QUANTITIES or not dimension.startswith(SPACER):
        return label_of(dimension)
    key = dimension.removeprefix(f"{SPACER}_")
    return f"{label_of(SPACER)}, {SPACERS_FOR.get(key, key.replace('_', ' '))}"


def _norm_name(key: tuple[str, str, str], part: str) -> str:
    return "-".join((*key, part))


def _norm_fields(norm: Norm) -> dict[str, forms.Field]:
    label = f"{norm_label(norm.dimension)}, {ARCH_WORDS.get(norm.arch, norm.arch)}"
    if norm.target is None:
        box = forms.Textarea(attrs={"rows": 2, "aria-label": label})
        return {
            _norm_name(norm.key, "wording"): forms.CharField(
                label=label, max_length=400, widget=box, initial=norm.note
            )
        }
    quantity = norm.dimension if norm.dimension in QUANTITIES else SPACER
    target = FigureField(quantity, label=label, help_text="", initial=_shown(norm.target), required=True)
    found: dict[str, forms.Field] = {_norm_name(norm.key, "target"): target}
    for part, said, value in (("minus", _("minus"), norm.minus), ("plus", _("plus"), norm.plus)):
        found[_norm_name(norm.key, part)] = ToleranceField(
            norm.unit, label=f"{label}, {said}", initial=_shown(value)
        )
    for each in found.values():
        each.widget.attrs |= {"class": "box box-norm", "aria-label": each.label, "autocomplete": "off"}
    return found


def _shown(value: Decimal) -> str:
    return figure(format_millimetres(value.normalize(), decimal_mark=".").removesuffix(".0"))


def _own(norm: Norm, given: dict[str, Any]) -> OwnNorm:
    figures = [given.get(_norm_name(norm.key, part)) for part in ("target", "minus", "plus")]
    wording = given.get(_norm_name(norm.key, "wording"), "")
    return OwnNorm(*norm.key, *figures, unit=norm.unit, note=wording)
