"""What the office types about cases: filters, days, reasons, the tickets to print."""

import datetime
from collections.abc import Iterable, Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from labcases.cases.choices import CaseState, Location, StageKind
from labcases.pages.fields import DayField, PlainSelect
from labcases.people.queries import active_practices
from labcases.tickets.choices import Paper

ANY = ("", _("Any"))


class CaseFilter(forms.Form):
    """The list's filters as they stand in its address; a value that is none of its choices filters nothing."""

    q = forms.CharField(label=_("Search"), required=False, max_length=60)
    state = forms.ChoiceField(
        label=_("State"),
        required=False,
        choices=[
            ("", pgettext_lazy("cases", "Open")),
            *((s.value, s.label) for s in CaseState if s != CaseState.OPEN),
            ("all", _("All")),
        ],
        widget=PlainSelect,
    )
    practice = forms.ModelChoiceField(
        active_practices(), label=_("Practice"), required=False, empty_label=_("Any"), widget=PlainSelect
    )
    where = forms.ChoiceField(
        label=_("Place"), required=False, choices=[ANY, *Location.choices], widget=PlainSelect
    )
    stage = forms.ChoiceField(
        label=_("Stage"), required=False, choices=[ANY, *StageKind.choices], widget=PlainSelect
    )
    person = forms.ChoiceField(label=_("Person"), required=False, widget=PlainSelect)
    late = forms.BooleanField(required=False, label=_("Late only"))

    def __init__(self, data: Any, *, people: Iterable[Any]) -> None:
        super().__init__(data)
        named = [(str(person.pk), person.display_name) for person in people]
        self.fields["person"].choices = [ANY, ("nobody", _("Nobody")), *named]
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

    def kept(self) -> dict[str, str]:
        """The filters that filter something, as they stand in the address."""
        return {name: self.data.get(name, "") for name in self.fields if self.cleaned_data.get(name)}

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
                self.add_error(name, _("This is before the day of: {stage}.").format(stage=before[0]))
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
        self.fields["reason"].error_messages["required"] = _("Write the reason.")


class TicketsForm(forms.Form):
    """Which stages' tickets are printed, and on which paper; all of them at first."""

    stage = forms.MultipleChoiceField(
        label=_("Tickets"), error_messages={"required": _("Tick at least one ticket to print.")}
    )
    paper = forms.ChoiceField(
        label=_("Paper"), choices=Paper.choices, initial=Paper.A4, widget=forms.RadioSelect
    )

    def __init__(self, data: Any = None, *, stages: Sequence[Any]) -> None:
        super().__init__(data)
        self.stages = {str(stage.pk): stage for stage in stages}
        self.fields["stage"].choices = [(pk, str(stage)) for pk, stage in self.stages.items()]

    @property
    def ticked(self) -> set[str]:
        return set(self.data.getlist("stage")) if self.is_bound else set(self.stages)

    @property
    def rows(self) -> list[tuple[Any, bool]]:
        return [(stage, pk in self.ticked) for pk, stage in self.stages.items()]

    @property
    def chosen(self) -> list[Any]:
        return [self.stages[pk] for pk in self.cleaned_data["stage"]]
