"""Forms of the moves that more than one room makes: a case is received, or sent back."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from labcases.cases.choices import ReturnCause
from labcases.cases.models import Stage

LONGEST_DAY_MINUTES = 24 * 60


def _minutes(label: str, hint: str = "") -> forms.IntegerField:
    return forms.IntegerField(
        label=label,
        help_text=hint,
        min_value=1,
        max_value=LONGEST_DAY_MINUTES,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )


class ReceiveForm(forms.Form):
    """The disinfection of what came in; minutes are whole."""

    agent = forms.CharField(
        label=_("Disinfectant"), max_length=120, help_text=_("As its label names it, with the dilution.")
    )
    minutes_required = _minutes(_("Contact time that its label asks"))
    minutes = _minutes(_("Contact time that it had"), _("Here or at the practice."))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        had, asked = cleaned.get("minutes"), cleaned.get("minutes_required")
        if had is not None and asked is not None and had < asked:
            self.add_error(
                "minutes",
                _("{had} is shorter than the {asked} minutes that the label asks.").format(
                    had=had, asked=asked
                ),
            )
        return cleaned


class SendBackForm(forms.Form):
    """Where the work goes back to and why; `stages` are those that it can go back to."""

    to = forms.ChoiceField(label=_("Back to"), widget=forms.RadioSelect)
    cause = forms.ChoiceField(label=_("Cause"), choices=[("", _("Choose")), *ReturnCause.choices])
    note = forms.CharField(
        label=_("What the next person needs to know"),
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, data: Any = None, *, stages: Sequence[Stage]) -> None:
        super().__init__(data)
        self.stages = {str(stage.pk): stage for stage in stages}
        self.fields["to"].choices = [(pk, stage.label) for pk, stage in self.stages.items()]
        if len(self.stages) == 1:
            self.fields["to"].initial = next(iter(self.stages))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("cause") == ReturnCause.OTHER and not cleaned.get("note", "").strip():
            self.add_error("note", _("Say why the work comes back."))
        return cleaned

    @property
    def stage(self) -> Stage:
        return self.stages[self.cleaned_data["to"]]
