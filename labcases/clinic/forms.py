"""What a practice types outside the shared prescription and record: days, a complaint, which letters it wants."""

import datetime
from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from labcases.pages.moving import SendBackForm
from labcases.pages.prescription import DayField
from labcases.post.choices import Rhythm
from labcases.prosthodontics.wording import in_a_sentence


class AppointmentsForm(forms.Form):
    """The days of the appointments still to come; an emptied box takes a day away."""

    def __init__(self, data: Any = None, *, stages: Sequence[Any], today: datetime.date) -> None:
        super().__init__(data, initial={stage.kind: stage.due_on for stage in stages})
        self.today = today
        for stage in stages:
            self.fields[stage.kind] = DayField(label=stage.label)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        before: tuple[str, datetime.date] | None = None
        for name, box in self.fields.items():
            day = cleaned.get(name)
            if not day:
                continue
            if day < self.today and name in self.changed_data:
                self.add_error(name, gettext("This day has passed."))
            elif before and day < before[1]:
                words = gettext("This is before the {stage}.")
                self.add_error(name, words.format(stage=in_a_sentence(before[0])))
            before = (str(box.label), day)
        return cleaned

    @property
    def changes(self) -> dict[str, datetime.date | None]:
        return {name: self.cleaned_data[name] for name in self.changed_data}


class ComplaintForm(SendBackForm):
    """Finished work that comes back: where to, why, and the day on which it is wanted again."""

    wanted_back = DayField(label=_("Wanted back at the clinic"))

    def __init__(self, data: Any = None, *, stages: Sequence[Any], today: datetime.date) -> None:
        super().__init__(data, stages=stages)
        self.today = today

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        day = cleaned.get("wanted_back")
        if day and day < self.today:
            self.add_error("wanted_back", gettext("This day has passed."))
        return cleaned


class LettersForm(forms.Form):
    """Which letters a clinician wants; `chosen` is what holds so far."""

    rhythm = forms.ChoiceField(label=_("How often"), choices=Rhythm.choices, widget=forms.RadioSelect)
    address = forms.EmailField(
        label=_("E-mail address"),
        required=False,
        max_length=254,
        help_text=_("Yours alone: whoever reads this mailbox sees the numbers of your cases."),
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )
    whole_practice = forms.BooleanField(
        label=_("Also of the cases that my colleagues at the practice prescribe"), required=False
    )

    def __init__(self, data: Any = None, *, chosen: Any) -> None:
        names = ("rhythm", "address", "whole_practice")
        super().__init__(data, initial={name: getattr(chosen, name) for name in names})

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        wants = cleaned.get("rhythm") not in (None, Rhythm.NEVER)
        if wants and not cleaned.get("address") and "address" not in self.errors:
            self.add_error("address", gettext("Letters need an address to go to."))
        return cleaned
