"""What the office types: filters, days, reasons, people, practices, the laboratory's own details and lists."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password

from labcases.cases.choices import CaseState, Location, Place, StageKind
from labcases.measurements.actions.standard import OwnNorm
from labcases.pages.fields import FigureField
from labcases.pages.prescription import DayField
from labcases.people.choices import Role
from labcases.people.queries import active_practices, practice_code_taken, username_taken
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

ANY = ("", "Any")
LONGEST_STEP = 300
OFFSET = ("occlusion_rims", "maxillary", "labial_offset")
SPACER = "spacer_thickness"


class CaseFilter(forms.Form):
    """The list's filters as they stand in its address; a value that is none of its choices filters nothing."""

    q = forms.CharField(label="Search", required=False, max_length=60)
    state = forms.ChoiceField(
        required=False,
        choices=[
            ("", "Open"),
            *((s.value, s.label) for s in CaseState if s != CaseState.OPEN),
            ("all", "All"),
        ],
    )
    practice = forms.ModelChoiceField(active_practices(), required=False, empty_label="Any")
    where = forms.ChoiceField(label="Place", required=False, choices=[ANY, *Location.choices])
    stage = forms.ChoiceField(label="Stage", required=False, choices=[ANY, *StageKind.choices])
    person = forms.ChoiceField(required=False)
    late = forms.BooleanField(required=False, label="Late only")

    def __init__(self, data: Any, *, people: Iterable[Any]) -> None:
        super().__init__(data)
        named = [(str(person.pk), person.display_name) for person in people]
        self.fields["person"].choices = [ANY, ("nobody", "Nobody"), *named]
        self.is_valid()

    def wanted(self) -> dict[str, Any]:
        """What `find_cases` is asked for."""
        given = self.cleaned_data
        practice = given.get("practice")
        return {
            "text": given.get("q", ""),
            "state": given.get("state") or "open",
            "practice": practice.pk if practice else None,
            "where": given.get("where", ""),
            "stage": given.get("stage", ""),
            "person": given.get("person", ""),
            "late": given.get("late", False),
        }

    def is_narrowed(self) -> bool:
        return any(self.cleaned_data.values())


class DatesForm(forms.Form):
    """The days of the appointments still to come; an emptied box takes a day away. `stages` are the open ones."""

    def __init__(self, data: Any = None, *, stages: Sequence[Any]) -> None:
        super().__init__(data, initial={stage.kind: stage.due_on for stage in stages})
        for stage in stages:
            self.fields[stage.kind] = DayField(label=stage.label)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        before: tuple[str, datetime.date] | None = None
        for name, box in self.fields.items():
            day = cleaned.get(name)
            if day and before and day < before[1]:
                self.add_error(name, f"This is before the day of: {before[0]}.")
            before = (str(box.label), day) if day else before
        return cleaned

    @property
    def changes(self) -> dict[str, datetime.date | None]:
        return {name: self.cleaned_data[name] for name in self.changed_data}


class ReasonForm(forms.Form):
    reason = forms.CharField(max_length=1000, widget=forms.Textarea(attrs={"rows": 3}))

    def __init__(self, data: Any = None, *, label: str) -> None:
        super().__init__(data)
        self.fields["reason"].label = label
        self.fields["reason"].error_messages["required"] = "Write the reason."


class LaboratoryForm(forms.Form):
    name = forms.CharField(
        label="Name of the laboratory", max_length=120, help_text="Stands on every ticket."
    )
    address = forms.CharField(max_length=400, widget=forms.Textarea(attrs={"rows": 3}))


class PracticeForm(forms.Form):
    code = forms.CharField(
        label="Short code", max_length=8, help_text="As it stands on shelves and tickets, such as ELM."
    )
    name = forms.CharField(label="Name of the practice", max_length=120)
    address = forms.CharField(
        max_length=400,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Without it the practice’s prescriptions stay incomplete.",
    )
    is_active = forms.BooleanField(
        label="Sends us work",
        required=False,
        initial=True,
        help_text="Untick to keep it out of new prescriptions.",
    )

    def __init__(self, data: Any = None, *, practice: Any = None) -> None:
        super().__init__(data, initial=_initial(practice, ("code", "name", "address", "is_active")))
        self.practice = practice
        if practice is None:
            del self.fields["is_active"]

    def clean_code(self) -> str:
        code = self.cleaned_data["code"].strip().upper()
        if practice_code_taken(code, besides=self.practice):
            raise forms.ValidationError("Another practice has this code.")
        return code


class PersonForm(forms.Form):
    """A new person, or with `person` a change of one. A role stays as it was given: it decides what a name means."""

    display_name = forms.CharField(label="Name as others see it", max_length=120)
    username = forms.CharField(label="User name to sign in with", max_length=60)
    role = forms.ChoiceField(choices=Role.choices, widget=forms.RadioSelect, initial=Role.TECHNICIAN)
    practice = forms.ModelChoiceField(
        active_practices(), required=False, empty_label="None", help_text="A clinician’s practice."
    )
    licence_number = forms.CharField(
        max_length=40, required=False, help_text="A clinician’s, as the law asks it on a prescription."
    )
    may_release_outside = forms.BooleanField(
        label="May finish a stage with a figure outside its limits, with a reason", required=False
    )
    is_active = forms.BooleanField(
        label="Works with us", required=False, help_text="Untick when somebody leaves; their entries stay."
    )
    password = forms.CharField(
        label="Password",
        required=False,
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="At least ten characters. Without one the person cannot sign in.",
    )

    def __init__(self, data: Any = None, *, by: Any, person: Any = None) -> None:
        names = ("display_name", "username", "practice", "licence_number", "may_release_outside", "is_active")
        super().__init__(data, initial=_initial(person, names))
        self.person = person
        if person is None or person.pk == by.pk:
            # Nobody shuts the door on themselves: another manager does it.
            del self.fields["is_active"]
        if person is None:
            return
        del self.fields["role"]
        self.fields["password"].label = "New password"
        self.fields["password"].help_text = "Leave empty to keep the present one. At least ten characters."
        if person.is_clinician:
            del self.fields["may_release_outside"]
        else:
            del self.fields["practice"], self.fields["licence_number"]

    def clean_username(self) -> str:
        name = self.cleaned_data["username"].strip()
        if username_taken(name, besides=self.person):
            raise forms.ValidationError("Somebody else has this user name.")
        return name

    def clean_password(self) -> str:
        password = self.cleaned_data["password"]
        if password:
            validate_password(password)
        return password

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        role = self.person.role if self.person else cleaned.get("role")
        if role == Role.CLINICIAN and not cleaned.get("practice") and "practice" not in self.errors:
            self.add_error("practice", "A clinician belongs to a practice.")
        if role in (Role.MANAGER, Role.TECHNICIAN) and cleaned.get("practice"):
            self.add_error("practice", "Only a clinician belongs to a practice.")
        return cleaned

    @property
    def changes(self) -> dict[str, Any]:
        return {name: value for name, value in self.cleaned_data.items() if name not in ("password", "role")}


class ChecklistForm(forms.Form):
    steps = forms.CharField(
        label="Steps, one a line",
        max_length=12_000,
        widget=forms.Textarea(attrs={"rows": 16}),
        help_text="In the order in which they are done. Empty lines are left out.",
    )

    def clean_steps(self) -> list[str]:
        lines = [" ".join(line.split()) for line in self.cleaned_data["steps"].splitlines()]
        steps = [line for line in lines if line]
        longest = max(steps, key=len, default="")
        if len(longest) > LONGEST_STEP:
            raise forms.ValidationError(f"A step has at most {LONGEST_STEP} characters: “{longest[:40]}…”.")
        if len(set(steps)) < len(steps):
            raise forms.ValidationError("The same step stands here twice.")
        return steps


class PathForm(forms.Form):
    """Which stages a kind of case goes through: one select for each place on its path, empty ones left out."""

    def __init__(self, data: Any = None, *, stages: Sequence[str]) -> None:
        super().__init__(data)
        choices = [
            ("", "–"),
            *((place.label, [(s.value, s.label) for s in StageKind if s.place == place]) for place in Place),
        ]
        for place in range(1, len(StageKind) + 1):
            self.fields[f"stage_{place}"] = forms.ChoiceField(
                label=f"Stage {place}",
                choices=choices,
                required=False,
                initial=stages[place - 1] if place <= len(stages) else "",
            )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        seen: set[str] = set()
        for name, kind in cleaned.items():
            if kind and kind in seen:
                self.add_error(name, "This stage stands on the path already.")
            seen.add(kind)
        if not any(cleaned.values()):
            self.add_error("stage_1", "A path has at least one stage.")
        return cleaned

    @property
    def stages(self) -> list[str]:
        return [kind for kind in self.cleaned_data.values() if kind]


def _initial(row: Any, names: Iterable[str]) -> dict[str, Any]:
    return {name: getattr(row, name) for name in names} if row else {}


class StandardForm(forms.Form):
    """The laboratory's figures with what may be less and more, its rules in words, and its choices of school.

    `standard` holds the figures shown at first. A figure left as delivered is not stored, so that it keeps its source.
    """

    valid_from = DayField(label="Holds from", help_text="Today or later; earlier days keep what they had.")
    note = forms.CharField(label="What changed and why", max_length=400, required=False)

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
            raise forms.ValidationError("A standard holds from today or later.")
        return day

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        moved = cleaned.get("school_papilla_reference") != self.standard.schools.papilla_reference
        box = _norm_name(OFFSET, "target")
        if moved and box not in self.changed_data and not self._offset_is_delivered():
            self.add_error(box, "The distance belongs to the papilla point; give the one for the new point.")
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
        return (
            house is not None
            and (own.target, own.minus, own.plus) == (house.target, house.minus, house.plus)
            and (own.target is not None or own.note == house.note)
        )


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
            return "our own"
        return ", ".join(dict.fromkeys(norm.source.provenance.words for norm in norms))

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
    return f"{label_of(SPACER)}, {MATERIALS.get(key, key.replace('_', ' '))}"


def _norm_name(key: tuple[str, str, str], part: str) -> str:
    return "-".join((*key, part))


def _norm_fields(norm: Norm) -> dict[str, forms.Field]:
    label = f"{norm_label(norm.dimension)}, {norm.arch}"
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
    for part, value in (("minus", norm.minus), ("plus", norm.plus)):
        found[_norm_name(norm.key, part)] = ToleranceField(
            norm.unit, label=f"{label}, {part}", initial=_shown(value)
        )
    for each in found.values():
        each.widget.attrs |= {"class": "box box-norm", "aria-label": each.label, "autocomplete": "off"}
    return found


def _shown(value: Decimal) -> str:
    return format_millimetres(value.normalize()).removesuffix(".0")


def _own(norm: Norm, given: dict[str, Any]) -> OwnNorm:
    figures = [given.get(_norm_name(norm.key, part)) for part in ("target", "minus", "plus")]
    wording = given.get(_norm_name(norm.key, "wording"), "")
    return OwnNorm(*norm.key, *figures, unit=norm.unit, note=wording)
