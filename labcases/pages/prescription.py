"""The prescription as a form: one for the practice and for the laboratory that writes it down.

Practice, kind and arches must be there for a case to be kept; whatever else is missing lists it as incomplete.
"""

import datetime
from collections.abc import Iterable, Iterator
from decimal import Decimal
from functools import cached_property
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from labcases.cases.actions.intake import PRESCRIPTION_FIELDS
from labcases.cases.choices import OPEN_STATES, Arches, CaseKind, ImpressionMaterial, Place, Sex, StageKind
from labcases.cases.models import Case
from labcases.cases.queries import path_for
from labcases.measurements.actions.prescribing import Prescribed, amend_case, take_in_case
from labcases.measurements.actions.readings import Entry
from labcases.measurements.models import Reading
from labcases.measurements.queries import prescribed_for, standing_readings
from labcases.measurements.rules import plain_figure
from labcases.measurements.standards import schools_in_force
from labcases.pages.chairside import (
    ARCH_WORDS,
    FIGURE,
    GROUPS,
    NAMES,
    NOT_STATED,
    RIM_TITLES,
    arch_of,
    figure_fields,
    newest_of,
)
from labcases.pages.fields import DayField, FigureField, is_used
from labcases.pages.published_display import guidance_for
from labcases.pages.still_missing import Need, needs_of
from labcases.people.models import User
from labcases.people.queries import active_practices, prescribers
from labcases.planning.actions.due_days import lay_due_days
from labcases.prosthodontics.guidance import Guidance
from labcases.prosthodontics.quantities import ARCHES, quantity
from labcases.prosthodontics.specification.lines import figure, with_unit
from labcases.prosthodontics.specification.rims import PRESCRIBABLE
from labcases.prosthodontics.wording import in_a_sentence

RIMS = "occlusion_rims"
WANTED = "wanted_"
DIMENSION = "prescribed_"
# The appointments for which work comes back from the laboratory, in the order of every path.
APPOINTMENTS = (
    StageKind.DEFINITIVE_IMPRESSIONS,
    StageKind.JAW_RELATION,
    StageKind.TRY_IN,
    StageKind.INSERTION,
)
NO_ARCH = {
    "maxillary": _("This case has no maxillary arch."),
    "mandibular": _("This case has no mandibular arch."),
}
ONLY_NEW = ("practice", "kind", "arches", "starts_at")


def draft_of(case: Case | None = None) -> str:
    """The name of the draft of a case's prescription, or of a new one."""
    return f"prescription-{case.pk if case else 'new'}"


class PrescriberField(forms.ModelChoiceField):
    def label_from_instance(self, obj: User) -> str:
        return f"{obj.display_name}, {obj.practice.name}" if obj.practice else obj.display_name


def _stages_by_place() -> list[tuple[str, list[tuple[str, str]]]]:
    return [
        (place.label, [(kind.value, kind.label) for kind in StageKind if kind.place == place])
        for place in (Place.LABORATORY, Place.CLINIC)
    ]


class PrescriptionForm(forms.Form):
    """A new prescription, or with `case` a change of one; `user` decides whose names and words it shows."""

    practice = forms.ModelChoiceField(
        active_practices(),
        label=_("Practice"),
        empty_label=_("Choose the practice"),
        error_messages={"required": _("Choose the practice that the case is for.")},
    )
    prescriber = PrescriberField(
        prescribers(),
        label=_("Prescriber"),
        required=False,
        empty_label=_("Not stated yet"),
        help_text=_("Who prescribes and signs."),
    )
    order_number = forms.CharField(
        label=_("Order number"),
        max_length=40,
        required=False,
        help_text=_("The practice’s own number of this order. The same one is not taken in twice."),
    )
    patient_code = forms.CharField(
        label=_("Patient’s code"),
        max_length=24,
        required=False,
        help_text=_("A code that the practice knows the patient by, never a name."),
    )
    patient_age = forms.IntegerField(
        label=_("Age in years"),
        min_value=0,
        max_value=120,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages=dict.fromkeys(
            ("invalid", "min_value", "max_value"), _("Write whole years, 0 to 120.")
        ),
    )
    patient_sex = forms.ChoiceField(
        label=_("Sex"), choices=[("", _("Not stated")), *Sex.choices], required=False
    )
    kind = forms.ChoiceField(
        label=_("Kind of work"), choices=CaseKind.choices, widget=forms.RadioSelect, initial=CaseKind.COMPLETE
    )
    arches = forms.ChoiceField(
        label=_("Arches"), choices=Arches.choices, widget=forms.RadioSelect, initial=Arches.BOTH
    )
    starts_at = forms.ChoiceField(
        label=_("The case comes in at"),
        required=False,
        help_text=_("Earlier stages of the path count as done before it came."),
    )
    work_description = forms.CharField(
        label=_("Description of the work"),
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("What is to be made, and what is special about it."),
    )
    impression_material = forms.ChoiceField(
        label=_("Material of the definitive impression"),
        choices=[("", _("Not stated yet")), *ImpressionMaterial.choices],
        required=False,
        help_text=_("The custom tray’s spacer follows from it."),
    )
    base_material = forms.CharField(label=_("Denture base material"), max_length=120, required=False)
    shade = forms.CharField(
        label=_("Shade"), max_length=40, required=False, help_text=_("As on your shade guide.")
    )
    tooth_wishes = forms.CharField(
        label=_("Wishes for the teeth"),
        max_length=400,
        required=False,
        help_text=_("Form, size, wear, gaps."),
    )
    subcontractor = forms.CharField(
        label=_("Subcontractor"),
        max_length=120,
        required=False,
        help_text=_("Another laboratory that may do part of the work, or “none”."),
    )
    notes = forms.CharField(
        label=_("Notes for the bench"),
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
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
    sign = forms.BooleanField(required=False)

    def __init__(
        self, data: Any = None, *, user: User, today: datetime.date, case: Case | None = None
    ) -> None:
        super().__init__(data)
        self.user, self.today, self.case = user, today, case
        self.standing: dict[str, Reading] = newest_of(standing_readings(case)) if case else {}
        self.dimensions = prescribed_for(case, RIMS) if case else {}
        self.unusual: list[str] = []
        self._add_fields()
        self._fit_to_person()
        if case:
            self._fit_to_case(case)

    # ---- which fields there are ----

    def _add_fields(self) -> None:
        self.fields["starts_at"].choices = [
            ("", _("The first laboratory stage of its path")),
            *_stages_by_place(),
        ]
        for kind in APPOINTMENTS:
            self.fields[WANTED + kind] = DayField(label=kind.label)
        for group in GROUPS:
            self.fields.update(figure_fields(group))
        for arch in ARCHES:
            for name in PRESCRIBABLE[arch]:
                self.fields[f"{DIMENSION}{arch}_{name}"] = FigureField(name, help_text="")

    def _fit_to_person(self) -> None:
        by_practice = self.user.is_clinician
        self.fields["sign"].label = (
            gettext("I sign this prescription")
            if by_practice
            else gettext("The laboratory holds the prescription signed by the prescriber")
        )
        if by_practice:
            del self.fields["practice"]
            self.fields["prescriber"].queryset = prescribers(self.user.practice)
            self.fields["prescriber"].initial = self.user.pk

    def _fit_to_case(self, case: Case) -> None:
        for name in ONLY_NEW:
            self.fields.pop(name, None)
        self.fields["prescriber"].queryset = prescribers(case.practice)
        days = {
            stage.kind: stage.due_on
            for stage in case.stages.all()
            if stage.state in OPEN_STATES and stage.place == Place.CLINIC
        }
        for kind in APPOINTMENTS:
            if kind not in days:
                del self.fields[WANTED + kind]
        self.initial = {
            **{name: getattr(case, name) for name in PRESCRIPTION_FIELDS},
            **{WANTED + kind: day for kind, day in days.items()},
            **{FIGURE + name: plain_figure(reading.value) for name, reading in self.standing.items()},
            **{f"read_with_{group.key}": self._instrument_of(group.names) for group in GROUPS},
            **{
                f"{DIMENSION}{arch}_{name}": plain_figure(value)
                for arch, values in self.dimensions.items()
                for name, value in values.items()
            },
        }

    def _instrument_of(self, names: Iterable[str]) -> str:
        return next((self.standing[name].instrument for name in names if name in self.standing), NOT_STATED)

    # ---- what the template asks for ----

    @property
    def wanted(self) -> list[BoundField]:
        return [self[WANTED + kind] for kind in APPOINTMENTS if WANTED + kind in self.fields]

    @property
    def groups(self) -> Iterator[dict[str, Any]]:
        for group in GROUPS:
            boxes = [self[FIGURE + name] for name in group.names]
            instrument = self[f"read_with_{group.key}"]
            yield {
                "group": group,
                "boxes": boxes,
                "instrument": instrument,
                "open": not group.folded or is_used([*boxes, instrument], leave=NOT_STATED),
            }

    @property
    def prescribable(self) -> list[dict[str, Any]]:
        arches = self.case.arch_names if self.case else ARCHES
        return [
            {
                "title": RIM_TITLES[arch],
                "boxes": [self[f"{DIMENSION}{arch}_{name}"] for name in PRESCRIBABLE[arch]],
            }
            for arch in arches
        ]

    @property
    def prescribes(self) -> bool:
        return is_used(box for part in self.prescribable for box in part["boxes"])

    @property
    def guidance(self) -> tuple[Guidance, ...]:
        """The published figures for what the form says of the patient so far."""
        return guidance_for(
            age=self["patient_age"].value(),
            sex=self["patient_sex"].value(),
            lip_length=self[FIGURE + "upper_lip_length"].value(),
            first=schools_in_force(self.today).display_guidance,
        )

    @cached_property
    def needs(self) -> list[Need]:
        return needs_of(self, days=self.wanted)

    @property
    def is_whole(self) -> bool:
        return all(need.is_there for need in self.needs)

    # ---- what is right and what is not ----

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        self._check_prescriber(cleaned)
        if not self.case:
            self._settle_start(cleaned)
        self._check_days(cleaned)
        self._check_arches(cleaned)
        self._check_standing(cleaned)
        if not self.errors:
            self._check_unusual(cleaned)
        return cleaned

    def _check_prescriber(self, cleaned: dict[str, Any]) -> None:
        practice, prescriber = self.practice_of(cleaned), cleaned.get("prescriber")
        if practice and prescriber and prescriber.practice_id != practice.pk:
            self.add_error(
                "prescriber",
                gettext("{prescriber} does not work at {practice}.").format(
                    prescriber=prescriber, practice=practice
                ),
            )

    def practice_of(self, cleaned: dict[str, Any]) -> Any:
        if self.case:
            return self.case.practice
        return self.user.practice if self.user.is_clinician else cleaned.get("practice")

    def _settle_start(self, cleaned: dict[str, Any]) -> None:
        kind, start = cleaned.get("kind"), cleaned.get("starts_at")
        if not kind:
            return
        path = path_for(kind)
        cleaned["starts_at"] = start or next((s for s in path if s.place == Place.LABORATORY), path[0])
        if cleaned["starts_at"] not in path:
            words = ", ".join(in_a_sentence(stage.label) for stage in path)
            refusal = gettext("This kind of work has no such stage. Its path: {path}.").format(path=words)
            self.add_error("starts_at", refusal)
            return
        left = path[path.index(cleaned["starts_at"]) :]
        for appointment in APPOINTMENTS:
            if cleaned.get(WANTED + appointment) and appointment not in left:
                self.add_error(
                    WANTED + appointment, gettext("This case does not come to this appointment any more.")
                )

    def _check_days(self, cleaned: dict[str, Any]) -> None:
        before: tuple[StageKind, datetime.date] | None = None
        for kind in APPOINTMENTS:
            day = cleaned.get(WANTED + kind)
            if not day:
                continue
            if day < self.today and WANTED + kind in self.changed_data:
                self.add_error(WANTED + kind, gettext("This day has passed."))
            elif before and day < before[1]:
                self.add_error(
                    WANTED + kind,
                    gettext("This is before the {visit}.").format(visit=in_a_sentence(before[0].label)),
                )
            before = (kind, day)

    def _check_arches(self, cleaned: dict[str, Any]) -> None:
        arches = self.case.arches if self.case else cleaned.get("arches")
        if not arches:
            return
        for arch, name, value in self._typed_dimensions(cleaned):
            if value is not None and arch not in Arches(arches).each:
                self.add_error(f"{DIMENSION}{arch}_{name}", NO_ARCH[arch])

    def _check_standing(self, cleaned: dict[str, Any]) -> None:
        for name, reading in self.standing.items():
            if cleaned.get(FIGURE + name) is None and FIGURE + name not in self.errors:
                stood = with_unit(reading.value.normalize(), reading.unit)
                self.add_error(
                    FIGURE + name,
                    gettext(
                        "{figure} is recorded and stays on record. Correct it rather than empty the box."
                    ).format(figure=stood),
                )
        if self._corrected(cleaned) and not cleaned.get("reason", "").strip():
            self.add_error("reason", gettext("Say why the recorded figure changes."))

    def _check_unusual(self, cleaned: dict[str, Any]) -> None:
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

    def _unusual_figures(self, cleaned: dict[str, Any]) -> list[str]:
        return [
            _unusual_words(str(quantity(name).label), name, value)
            for name, value in self._changed_figures(cleaned)
            if quantity(name).is_unusual(value)
        ]

    def _unusual_dimensions(self, cleaned: dict[str, Any]) -> list[str]:
        return [
            _unusual_words(f"{quantity(name).label}, {ARCH_WORDS[arch]}", name, value)
            for (_, arch, name), value in self.prescribed_changes(cleaned).items()
            if value is not None and quantity(name).is_unusual(value)
        ]

    # ---- what it comes to ----

    def _changed_figures(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, Decimal]]:
        for name in NAMES:
            value, stood = cleaned.get(FIGURE + name), self.standing.get(name)
            if value is not None and (stood is None or stood.value != value):
                yield name, value

    def _entries(self, cleaned: dict[str, Any]) -> dict[str, Entry]:
        with_what = {name: cleaned[f"read_with_{group.key}"] for group in GROUPS for name in group.names}
        return {
            name: Entry(name, arch_of(name), (value,), with_what[name] or NOT_STATED, confirmed=True)
            for name, value in self._changed_figures(cleaned)
        }

    def _corrected(self, cleaned: dict[str, Any]) -> bool:
        return any(name in self.standing for name, _ in self._changed_figures(cleaned))

    def _typed_dimensions(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str, Decimal | None]]:
        for arch in ARCHES:
            for name in PRESCRIBABLE[arch]:
                yield arch, name, cleaned.get(f"{DIMENSION}{arch}_{name}")

    def prescribed_changes(self, cleaned: dict[str, Any]) -> Prescribed:
        return {
            (RIMS, arch, name): value
            for arch, name, value in self._typed_dimensions(cleaned)
            if value != self.dimensions.get(arch, {}).get(name)
        }

    def _days(self, cleaned: dict[str, Any]) -> dict[str, datetime.date | None]:
        return {
            kind.value: cleaned[WANTED + kind]
            for kind in APPOINTMENTS
            if WANTED + kind in self.fields and WANTED + kind in self.changed_data
        }

    def _prescription(self, cleaned: dict[str, Any]) -> dict[str, Any]:
        return {name: cleaned[name] for name in PRESCRIPTION_FIELDS}

    def take_in(self, *, by: User, now: datetime.datetime) -> Case:
        """Open the case that a valid new prescription describes."""
        given = self.cleaned_data
        case = take_in_case(
            practice=self.practice_of(given),
            kind=given["kind"],
            arches=given["arches"],
            prescription=self._prescription(given),
            dates={kind: day for kind, day in self._days(given).items() if day},
            starts_at=given["starts_at"],
            figures=list(self._entries(given).values()),
            prescribed=self.prescribed_changes(given),
            by=by,
            now=now,
            sign=given["sign"],
        )
        lay_due_days(case=case, by=by, now=now)
        return case

    def amend(self, *, by: User, now: datetime.datetime, expected_version: int) -> None:
        """Change the case as a valid form says; figures that stood are corrected, none is overwritten."""
        given, entries = self.cleaned_data, self._entries(self.cleaned_data)
        assert self.case is not None
        amend_case(
            case=self.case,
            changes=self._prescription(given),
            dates=self._days(given),
            figures=[entry for name, entry in entries.items() if name not in self.standing],
            corrections=[
                (self.standing[name], each) for name, each in entries.items() if name in self.standing
            ],
            reason=given["reason"],
            prescribed=self.prescribed_changes(given),
            by=by,
            expected_version=expected_version,
            now=now,
            sign=given["sign"],
        )
        lay_due_days(case=self.case, by=by, now=now)


def _unusual_words(label: str, name: str, value: Decimal) -> str:
    kind = quantity(name)
    low, high = (figure(limit, kind.unit) for limit in kind.unusual)
    return gettext("{label} {value} (usually {low} to {high})").format(
        label=label, value=with_unit(value, kind.unit), low=low, high=high
    )
