"""The record of a clinic stage as a form: one for the practice, and for the office where a practice phones.

Figures and findings come first, then what becomes of the work. Everything typed is kept whichever way it goes.
"""

import datetime
from collections.abc import Iterator
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from labcases.cases.choices import OPEN_STATES, Place, ReturnCause, StageKind
from labcases.cases.models import Case, Stage
from labcases.cases.queries import stages_to_return_to
from labcases.cases.rules import kinds_to_repeat, may_be_started
from labcases.measurements.actions.clinic import (
    WorkReturn,
    finish_clinic_stage,
    keep_findings,
    return_from_clinic,
)
from labcases.measurements.choices import ChairDecision
from labcases.pages.chair_form import ChairForm
from labcases.pages.prescription import WANTED, DayField
from labcases.people.models import User
from labcases.planning.actions.due_days import lay_due_days
from labcases.prosthodontics.wording import in_a_sentence

ONWARD_WORDS = {
    StageKind.TRY_IN: _("Accepted: {next} is next"),
    StageKind.INSERTION: _("Inserted: the case is complete"),
}
FURTHER_WORDS = _("Send it on: {next} is next")


class ClinicRecordForm(ChairForm):
    """The record of `stage`, which is where its case stands; `today` is the day at the practice."""

    outcome = forms.CharField(
        label=_("What was found"),
        max_length=4000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_(
            "What the bench should know and no figure says: retention, speech, what the patient said."
        ),
    )
    decision = forms.ChoiceField(
        label=_("What becomes of the work"),
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose what becomes of the work.")},
    )
    to = forms.ChoiceField(label=_("Back to"), widget=forms.RadioSelect, required=False)
    cause = forms.ChoiceField(
        label=_("Cause"), choices=[("", _("Choose")), *ReturnCause.choices], required=False
    )
    note = forms.CharField(
        label=_("What is to be different"),
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Stands on top of the bench sheet of the next visit."),
    )
    wanted_back = DayField(label=_("Wanted back at the clinic"))

    def __init__(self, data: Any = None, *, stage: Stage, today: datetime.date) -> None:
        super().__init__(data, stage=stage, today=today)
        self.places = {str(each.pk): each for each in stages_to_return_to(self.case)}
        self.obstacle = may_be_started(self.case, stage)
        for later in self.to_come:
            self.fields[WANTED + later.kind] = DayField(label=later.label)
        self.fields["decision"].choices = self._decisions()
        self.fields["to"].choices = [(pk, each.label) for pk, each in self.places.items()]
        self.initial |= {WANTED + later.kind: later.due_on for later in self.to_come}
        self.initial |= {"outcome": stage.outcome}
        if len(self.places) == 1:
            self.initial["to"] = next(iter(self.places))
        # In the order of the page, so that what must be put right is listed from top to bottom.
        own = ["reason", *ClinicRecordForm.declared_fields]
        self.order_fields([name for name in self.fields if name not in own] + own)

    def _decisions(self) -> list[tuple[str, str]]:
        stays = (ChairDecision.STAYS.value, ChairDecision.STAYS.label)
        if self.obstacle:
            return [stays]
        again = [(ChairDecision.AGAIN.value, ChairDecision.AGAIN.label)] if self.places else []
        return [(ChairDecision.ONWARD.value, self._onward_words), *again, stays]

    @property
    def _onward_words(self) -> str:
        following = next((each for each in self._later if each.place == Place.LABORATORY), None)
        words = ONWARD_WORDS.get(StageKind(self.stage.kind), FURTHER_WORDS)
        return words.format(next=in_a_sentence(following.label) if following else gettext("nothing"))

    @property
    def _later(self) -> list[Stage]:
        at = self.stage.position
        return [each for each in self.stages if each.position > at and each.state in OPEN_STATES]

    @property
    def to_come(self) -> list[Stage]:
        """Clinic stages still ahead, whose days can be set here."""
        return [each for each in self._later if each.place == Place.CLINIC]

    @property
    def days(self) -> list[BoundField]:
        return [self[WANTED + later.kind] for later in self.to_come]

    # ---- what is right and what is not ----

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("decision") == ChairDecision.AGAIN:
            self._check_return(cleaned)
        self._check_days(cleaned)
        if not self.errors:
            self.check_unusual(cleaned)
        return cleaned

    def _check_return(self, cleaned: dict[str, Any]) -> None:
        if not cleaned.get("to"):
            self.add_error("to", gettext("Choose the stage that the work goes back to."))
        if not cleaned.get("cause"):
            self.add_error("cause", gettext("Choose the cause from the list."))
        if cleaned.get("cause") == ReturnCause.OTHER and not cleaned.get("note", "").strip():
            self.add_error("note", gettext("Say why the work comes back."))

    def _check_days(self, cleaned: dict[str, Any]) -> None:
        before: tuple[str, datetime.date] | None = None
        for name, words in self._days_in_order(cleaned):
            day = cleaned.get(name)
            if not day:
                continue
            if day < self.today and name in self.changed_data:
                self.add_error(name, gettext("This day has passed."))
            elif before and day < before[1]:
                self.add_error(name, gettext("This is before the {visit}.").format(visit=before[0]))
            before = (words, day)

    def _days_in_order(self, cleaned: dict[str, Any]) -> Iterator[tuple[str, str]]:
        if cleaned.get("decision") == ChairDecision.AGAIN:
            yield "wanted_back", gettext("day on which it is wanted back")
        for later in self.to_come:
            yield WANTED + later.kind, in_a_sentence(later.label)

    # ---- what it comes to ----

    @property
    def _dates(self) -> dict[str, datetime.date | None]:
        given = self.cleaned_data
        changed = [each for each in self.to_come if WANTED + each.kind in self.changed_data]
        days = {each.kind: given[WANTED + each.kind] for each in changed}
        if given["decision"] == ChairDecision.AGAIN and given.get("wanted_back"):
            days[self._next_crossing] = given["wanted_back"]
        return days

    @property
    def _next_crossing(self) -> str:
        """The first clinic stage of the visit that a return opens."""
        to = self.places[self.cleaned_data["to"]]
        again = kinds_to_repeat(self.stages, to=to, last=self.stage)
        return next(kind for kind in again if kind.place == Place.CLINIC)

    def record(self, *, by: User, now: datetime.datetime, expected_version: int) -> None:
        """Do what a valid form says, all of it or nothing."""
        given = self.cleaned_data
        common = {
            "stage": self.stage,
            "findings": self.findings,
            "outcome": given["outcome"].strip(),
            "dates": self._dates,
            "by": by,
            "expected_version": expected_version,
            "now": now,
        }
        if given["decision"] == ChairDecision.ONWARD:
            finish_clinic_stage(**common)
        elif given["decision"] == ChairDecision.AGAIN:
            back = WorkReturn(self.places[given["to"]], given["cause"], given["note"])
            return_from_clinic(**common, back=back)
        else:
            keep_findings(**common)
        lay_due_days(case=self.case, by=by, now=now)

    @property
    def done_words(self) -> str:
        """What was done, for the message on the next page."""
        number, label = self.case.number, self.stage.label
        decision = self.cleaned_data["decision"]
        if decision == ChairDecision.STAYS:
            return gettext("Kept. {stage} of {number} is still open.").format(stage=label, number=number)
        if decision == ChairDecision.AGAIN:
            to = self.places[self.cleaned_data["to"]]
            words = gettext("{stage} of {number} is recorded. It goes back to {to}.")
            return words.format(stage=label, number=number, to=in_a_sentence(to.get_kind_display()))
        if not self._later:
            words = gettext("{stage} of {number} is recorded. The case is complete.")
        else:
            words = gettext("{stage} of {number} is recorded. It is on its way to the laboratory.")
        return words.format(stage=label, number=number)


def stage_to_record(case: Case) -> Stage | None:
    """The clinic stage where an open case stands; None while its next work is the laboratory's."""
    stage = case.current_stage if case.is_open else None
    if stage is None or stage.place != Place.CLINIC:
        return None
    stage.case = case
    return stage
