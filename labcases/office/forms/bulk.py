"""What can be done with many cases at once: what each form asks, what it means for each case, and doing it."""

import datetime
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from labcases.cases.actions.moves import hold_stage
from labcases.cases.rules import next_visit, why_not_given, why_not_held, why_not_wanted_on
from labcases.pages.prescription import DayField
from labcases.pages.templatetags.trade import day as day_words
from labcases.planning.actions.due_days import set_wanted_days
from labcases.planning.actions.giving import give
from labcases.prosthodontics.wording import in_a_sentence
from labcases.tickets.actions import why_not_printed
from labcases.tickets.choices import Paper

NOBODY = "nobody"


@dataclass(frozen=True)
class Ticked:
    """A case as it was ticked: its current stage then, with both versions that the list showed."""

    stage: Any
    version: int
    case_version: int

    @property
    def mark(self) -> str:
        return f"{self.stage.pk}-{self.version}-{self.case_version}"


class BulkForm(forms.Form):
    """One thing to do with each ticked case; `why_not` says in words where it cannot be done."""

    title = button = ""
    # Whether it changes the case itself, so that a change elsewhere in the case stands against it.
    changes_case = False
    # Whether what it means depends on what is typed, so that this is asked for first.
    asks_first = False

    def __init__(self, data: Any = None, *, people: Iterable[Any], chosen: str, today: datetime.date) -> None:
        super().__init__(data)
        self.today = today
        self.fit(people=list(people), chosen=chosen)

    def fit(self, *, people: list[Any], chosen: str) -> None:
        """Offer these people; `chosen` is what the list's own box said already."""

    def overtaken(self, ticked: Ticked) -> str:
        stage, case = ticked.stage, ticked.stage.case
        if stage.version != ticked.version or case.current_stage_id != stage.pk:
            return str(_("Somebody has changed it since the list was loaded."))
        if self.changes_case and case.version != ticked.case_version:
            return str(_("Somebody has changed the case since the list was loaded."))
        return ""

    def why_not(self, ticked: Ticked) -> str:
        raise NotImplementedError

    def happens(self, ticked: Ticked) -> str:
        raise NotImplementedError

    def act(self, ticked: Ticked, *, by: Any, now: datetime.datetime) -> None:
        raise NotImplementedError

    def done(self, count: int) -> str:
        """What was done with how many cases, as a sentence."""
        raise NotImplementedError


class GiveForm(BulkForm):
    title, button = _("Give out work"), _("Give out")

    to = forms.ChoiceField(
        label=_("Give to"),
        error_messages={"required": _("Choose who shall have the work."), "invalid_choice": _("Choose who.")},
    )

    def fit(self, *, people: list[Any], chosen: str) -> None:
        self.people: Mapping[str, Any] = {str(person.pk): person for person in people}
        named = [(pk, person.display_name) for pk, person in self.people.items()]
        self.fields["to"].choices = [("", _("Choose …")), *named, (NOBODY, _("Nobody"))]
        self.initial = {"to": chosen}

    @property
    def person(self) -> Any:
        return self.people.get(self["to"].value() or "")

    def why_not(self, ticked: Ticked) -> str:
        if self.person and self.person == ticked.stage.assignee:
            return _("{person} has it already.").format(person=self.person)
        return why_not_given(ticked.stage)

    def happens(self, ticked: Ticked) -> str:
        has = ticked.stage.assignee
        return _("Goes over from {person}").format(person=has) if has else str(_("Nobody has it yet"))

    def act(self, ticked: Ticked, *, by: Any, now: datetime.datetime) -> None:
        give(stages=[(ticked.stage, ticked.version)], to=self.person, by=by, now=now)

    def done(self, count: int) -> str:
        if not self.person:
            said = ngettext("{count} case given to nobody.", "{count} cases given to nobody.", count)
            return said.format(count=count)
        said = ngettext("{count} case given to {person}.", "{count} cases given to {person}.", count)
        return said.format(count=count, person=self.person)


class HoldForm(BulkForm):
    title, button = _("Put work on hold"), _("Put on hold")

    reason = forms.CharField(
        label=_("Why"),
        max_length=400,
        error_messages={"required": _("Write the reason; it stands on every one of them.")},
    )

    def why_not(self, ticked: Ticked) -> str:
        return why_not_held(ticked.stage)

    def happens(self, ticked: Ticked) -> str:
        return _("{stage} waits until it is taken up again").format(stage=ticked.stage.label)

    def act(self, ticked: Ticked, *, by: Any, now: datetime.datetime) -> None:
        reason = self.cleaned_data["reason"]
        hold_stage(stage=ticked.stage, by=by, expected_version=ticked.version, reason=reason, now=now)

    def done(self, count: int) -> str:
        return ngettext("{count} case put on hold.", "{count} cases put on hold.", count).format(count=count)


class WantedForm(BulkForm):
    title, button = _("Change the wanted day"), _("Set the day")
    changes_case = asks_first = True

    day = DayField(label=_("The next appointment is on"))

    def clean_day(self) -> datetime.date:
        day = self.cleaned_data["day"]
        if day is None:
            raise forms.ValidationError(_("Give the day."))
        if day < self.today:
            raise forms.ValidationError(_("This day has passed."))
        return day

    @property
    def wanted(self) -> datetime.date | None:
        return self.cleaned_data.get("day") if self.is_bound and self.is_valid() else None

    def why_not(self, ticked: Ticked) -> str:
        return why_not_wanted_on(ticked.stage.case, self.wanted)

    def happens(self, ticked: Ticked) -> str:
        visit = next_visit(ticked.stage.case.stages.all())
        now = day_words(visit.due_on) if visit.due_on else _("without a day")
        return f"{visit.label}: {now} → {day_words(self.wanted)}" if self.wanted else f"{visit.label}: {now}"

    def act(self, ticked: Ticked, *, by: Any, now: datetime.datetime) -> None:
        case = ticked.stage.case
        dates = {next_visit(case.stages.all()).kind: self.wanted}
        set_wanted_days(case=case, dates=dates, by=by, now=now, expected_version=ticked.case_version)

    def done(self, count: int) -> str:
        said = ngettext("{count} case wanted for {day}.", "{count} cases wanted for {day}.", count)
        return said.format(count=count, day=day_words(self.wanted))


class PaperForm(BulkForm):
    title, button = _("Print work tickets"), _("Make the PDF")

    paper = forms.ChoiceField(
        label=_("Paper"), choices=Paper.choices, initial=Paper.A4, widget=forms.RadioSelect
    )

    def overtaken(self, ticked: Ticked) -> str:
        # A ticket says what holds when it is printed, whoever changed it.
        return "" if ticked.stage.case.current_stage_id == ticked.stage.pk else super().overtaken(ticked)

    def why_not(self, ticked: Ticked) -> str:
        return why_not_printed(ticked.stage)

    def happens(self, ticked: Ticked) -> str:
        return _("Ticket for {stage}").format(stage=in_a_sentence(ticked.stage.label))


DEEDS = {"give": GiveForm, "hold": HoldForm, "days": WantedForm, "tickets": PaperForm}
