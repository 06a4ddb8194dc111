"""The laboratory's own details, checklists and paths."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from labcases.cases.choices import Place, StageKind

LONGEST_STEP = 300


class LaboratoryForm(forms.Form):
    name = forms.CharField(
        label=_("Name of the laboratory"), max_length=120, help_text=_("Stands on every ticket.")
    )
    address = forms.CharField(label=_("Address"), max_length=400, widget=forms.Textarea(attrs={"rows": 3}))


class ChecklistForm(forms.Form):
    steps = forms.CharField(
        label=_("Steps, one a line"),
        max_length=12_000,
        widget=forms.Textarea(attrs={"rows": 16}),
        help_text=_("In the order in which they are done. Empty lines are left out."),
    )

    def clean_steps(self) -> list[str]:
        lines = [" ".join(line.split()) for line in self.cleaned_data["steps"].splitlines()]
        steps = [line for line in lines if line]
        longest = max(steps, key=len, default="")
        if len(longest) > LONGEST_STEP:
            raise forms.ValidationError(
                _("A step has at most {most} characters: “{beginning}…”.").format(
                    most=LONGEST_STEP, beginning=longest[:40]
                )
            )
        if len(set(steps)) < len(steps):
            raise forms.ValidationError(_("The same step stands here twice."))
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
                label=_("Stage {number}").format(number=place),
                choices=choices,
                required=False,
                initial=stages[place - 1] if place <= len(stages) else "",
            )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        seen: set[str] = set()
        for name, kind in list(cleaned.items()):
            if kind and kind in seen:
                self.add_error(name, _("This stage stands on the path already."))
            seen.add(kind)
        if not any(cleaned.values()):
            self.add_error("stage_1", _("A path has at least one stage."))
        return cleaned

    @property
    def stages(self) -> list[str]:
        return [kind for kind in self.cleaned_data.values() if kind]
