"""What the office types about its time: week, closed days, absences, collections, standard times, skills."""

import datetime
from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from labcases.cases.choices import StageKind
from labcases.pages.fields import DayField
from labcases.people.queries import bench_people
from labcases.planning.choices import Weekday
from labcases.planning.scheduling.times import LONGEST, SKILLS, StandardTime
from labcases.planning.working_time import Opening, Week
from labcases.planning.working_time.public_holidays import countries
from labcases.prosthodontics.errors import InputError

OPENING = {"opens": _("{day}, opening {turn}, from"), "closes": _("{day}, opening {turn}, until")}


def clock_field(**kwargs: Any) -> forms.TimeField:
    widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "class": "box box-short"})
    return forms.TimeField(input_formats=["%H:%M", "%H.%M"], widget=widget, required=False, **kwargs)


def whole_field(low: int, high: int, **kwargs: Any) -> forms.IntegerField:
    """A whole number typed as text: a wheel over the box must not change it."""
    widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "class": "box box-short"})
    return forms.IntegerField(min_value=low, max_value=high, widget=widget, **kwargs)


class WeekForm(forms.Form):
    """Two openings for each day of the week: before and after the break."""

    def __init__(self, data: Any = None, *, week: Week) -> None:
        super().__init__(data, initial=dict(_week_as_texts(week)))
        for weekday in Weekday:
            for turn in (1, 2):
                for end, said in OPENING.items():
                    label = said.format(day=weekday.label, turn=turn)
                    self.fields[f"{end}_{weekday.value}_{turn}"] = clock_field(label=label)

    @property
    def days(self) -> list[tuple[str, list[Any]]]:
        return [
            (
                weekday.label,
                [self[f"{end}_{weekday.value}_{turn}"] for turn in (1, 2) for end in ("opens", "closes")],
            )
            for weekday in Weekday
        ]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors:
            cleaned["week"] = Week(tuple(self._openings(weekday) for weekday in Weekday))
        if self.errors:
            cleaned.pop("week", None)
        return cleaned

    def _openings(self, weekday: Weekday) -> tuple[Opening, ...]:
        found: list[Opening] = []
        for turn in (1, 2):
            name = f"opens_{weekday.value}_{turn}"
            opens, closes = self.cleaned_data[name], self.cleaned_data[f"closes_{weekday.value}_{turn}"]
            if opens is None and closes is None:
                continue
            problem = _problem(opens, closes, found)
            if problem:
                self.add_error(name, problem.format(day=weekday.label))
            else:
                found.append(Opening.at(opens, closes))
        return tuple(found)


def _problem(opens: datetime.time | None, closes: datetime.time | None, before: Iterable[Opening]) -> str:
    if opens is None or closes is None:
        return str(_("{day}: give both the hour it opens and the hour it closes."))
    try:
        opening = Opening.at(opens, closes)
    except InputError:
        return str(_("{day}: it closes after it opens."))
    if any(opening.start < other.end for other in before):
        return str(_("{day}: the second opening begins after the first has ended."))
    return ""


def _week_as_texts(week: Week) -> Iterable[tuple[str, str]]:
    for weekday, openings in enumerate(week.days):
        for turn, opening in enumerate(openings[:2], 1):
            opens, closes = str(opening).split("–")
            yield f"opens_{weekday}_{turn}", opens
            yield f"closes_{weekday}_{turn}", "00:00" if closes == "24:00" else closes


class ClosureForm(forms.Form):
    first = DayField(label=_("First day"), required=True)
    last = DayField(label=_("Last day"), help_text=_("Leave empty for one day."))
    reason = forms.CharField(label=_("Why"), max_length=120)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        cleaned["last"] = cleaned.get("last") or cleaned.get("first")
        return cleaned


class HolidaysForm(forms.Form):
    """Country and region by their codes in ISO 3166."""

    country = forms.ChoiceField(label=_("Country (ISO 3166 code)"))
    region = forms.CharField(
        label=_("Region"),
        max_length=12,
        required=False,
        help_text=_("The code of a state or province, such as BY."),
    )

    def __init__(self, data: Any = None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        known = [(code, code) for code in countries()]
        self.fields["country"].choices = [("", _("Choose …")), *known]

    def clean_region(self) -> str:
        return self.cleaned_data["region"].strip().upper()


class AbsenceForm(forms.Form):
    person = forms.ModelChoiceField(bench_people(), label=_("Person"), empty_label=_("Choose …"))
    first_day = DayField(label=_("First day away"), required=True)
    last_day = DayField(label=_("Last day away"), help_text=_("Leave empty for one day."))
    from_time = clock_field(label=_("Only from"), help_text=_("Leave both hours empty for whole days."))
    until_time = clock_field(label=_("until"))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        cleaned["last_day"] = cleaned.get("last_day") or cleaned.get("first_day")
        return cleaned


class TransportForm(forms.Form):
    transit_days = whole_field(
        0, 10, label=_("Working days on the way"), help_text=_("0: it arrives on the day of its collection.")
    )

    def __init__(self, data: Any = None, *, cut_offs: Mapping[int, str], transit_days: int) -> None:
        initial = {f"cut_off_{weekday}": hour for weekday, hour in cut_offs.items()}
        super().__init__(data, initial={**initial, "transit_days": transit_days})
        for weekday in Weekday:
            self.fields[f"cut_off_{weekday.value}"] = clock_field(label=weekday.label)

    @property
    def days(self) -> list[Any]:
        return [self[f"cut_off_{weekday.value}"] for weekday in Weekday]

    @property
    def cut_offs(self) -> dict[int, datetime.time]:
        hours = {day.value: self.cleaned_data.get(f"cut_off_{day.value}") for day in Weekday}
        return {weekday: hour for weekday, hour in hours.items() if hour is not None}


class StandardTimeForm(forms.Form):
    hands_on = whole_field(1, LONGEST, label=_("Hands on"))
    waiting = whole_field(
        0, LONGEST, label=_("then waiting"), help_text=_("Setting, curing, cooling: no hands needed.")
    )
    finishing = whole_field(0, LONGEST, label=_("then hands-on again"))
    lab_days = whole_field(
        0, 60, label=_("Laboratory days"), help_text=_("Working days allowed when days are laid.")
    )
    one_arch_percent = whole_field(10, 100, label=_("One arch takes"))
    skill = forms.ChoiceField(label=_("Skill"), choices=list(SKILLS.items()))

    def __init__(self, data: Any = None, *, kind: StageKind, time: StandardTime) -> None:
        names = ("hands_on", "waiting", "finishing", "lab_days", "one_arch_percent", "skill")
        super().__init__(data, initial={name: getattr(time, name) for name in names})
        self.kind = kind

    @property
    def time(self) -> StandardTime:
        return StandardTime(str(self.kind.value), **self.cleaned_data)


class SkillsForm(forms.Form):
    """A row of ticks for each person."""

    def __init__(self, data: Any = None, *, people: Iterable[Any], known: Mapping[int, set[str]]) -> None:
        super().__init__(data)
        self.people = list(people)
        for person in self.people:
            self.fields[f"person_{person.pk}"] = forms.MultipleChoiceField(
                label=person.display_name,
                choices=list(SKILLS.items()),
                initial=sorted(known.get(person.pk, ())),
                required=False,
                widget=forms.CheckboxSelectMultiple,
            )

    def chosen(self, person: Any) -> set[str]:
        return set(self.cleaned_data[f"person_{person.pk}"])
