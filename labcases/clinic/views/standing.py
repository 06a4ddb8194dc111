"""Where a case stands for its practice: where it is, when it is back, and what is needed from the practice."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from django.utils.translation import gettext as _

from labcases.cases.choices import OPEN_STATES, CaseState, Location, Place, StageState
from labcases.cases.rules import Missing
from labcases.pages.crossing import Stop
from labcases.prosthodontics.wording import in_a_sentence


class Whereabouts(StrEnum):
    """The groups of My cases, in the order of the page."""

    WAITING = "waiting"
    COMING = "coming"
    LABORATORY = "laboratory"
    GOING = "going"
    CLOSED = "closed"


GROUP_OF = {
    Location.CLINIC: Whereabouts.WAITING,
    Location.TO_CLINIC: Whereabouts.COMING,
    Location.LABORATORY: Whereabouts.LABORATORY,
    Location.TO_LABORATORY: Whereabouts.GOING,
}


@dataclass(frozen=True)
class Standing:
    """One case as its practice needs to see it. `stages` are all of the case's, in path order."""

    case: Any
    stages: Sequence[Any]
    returns: Sequence[Any]
    stops: Sequence[Stop]
    missing: tuple[Missing, ...]
    today: datetime.date

    @property
    def group(self) -> Whereabouts:
        if not self.case.is_open:
            return Whereabouts.CLOSED
        return Whereabouts.WAITING if self.is_incomplete else GROUP_OF[Location(self.case.location)]

    @property
    def is_incomplete(self) -> bool:
        return self.case.state == CaseState.INCOMPLETE

    @property
    def stage(self) -> Any:
        return self.case.current_stage if self.case.is_open else None

    @property
    def appointment(self) -> Any:
        """The next clinic stage: what the work comes back for."""
        ahead = (each for each in self.stages if each.state in OPEN_STATES and each.place == Place.CLINIC)
        return next(ahead, None)

    @property
    def missing_words(self) -> list[str]:
        return [each.words for each in self.missing]

    @property
    def came_back(self) -> Any:
        """The return that the work at hand repeats stages for, if it does."""
        visit = self.stage.visit if self.stage else 1
        return next((back for back in self.returns if back.visit == visit), None)

    @property
    def is_late(self) -> bool:
        """Whether the laboratory's work should have been finished before today."""
        stage = self.stage
        return bool(stage and stage.place == Place.LABORATORY and stage.due_on and stage.due_on < self.today)

    @property
    def where(self) -> str:
        """The place, and what is being done there."""
        if not self.case.is_open:
            return str(self.case.get_state_display())
        place = str(self.case.get_location_display())
        return f"{place}: {self.doing}" if self.doing else place

    @property
    def is_here(self) -> bool:
        """Whether the work is at the clinic for the next appointment already."""
        return self.case.location == Location.CLINIC and self.stage == self.appointment

    @property
    def appointment_words(self) -> str:
        """What the next appointment is, and whether the work still has to come back for it."""
        label = self.appointment.label
        return label if self.is_here else _("Back for {stage}").format(stage=in_a_sentence(label))

    @property
    def doing(self) -> str:
        """What is done with the work where it is; empty while it is on its way."""
        stage, place = self.stage, self.case.location
        if stage is None or place in (Location.TO_CLINIC, Location.TO_LABORATORY):
            return ""
        if stage.place == Place.CLINIC and place == Location.LABORATORY:
            return _("ready for {stage}").format(stage=in_a_sentence(stage.label))
        at_work = {StageState.IN_PROGRESS: _("at work"), StageState.ON_HOLD: _("on hold")}
        words = at_work.get(StageState(stage.state), "")
        return f"{in_a_sentence(stage.label)}{f', {words}' if words else ''}"

    @property
    def act(self) -> str:
        """The one thing that the practice can do now, by its name in the template; empty where nothing is needed."""
        if self.is_incomplete:
            return "sign" if self._lacks_only_signature else "complete"
        if not self.stage or self.stage.place != Place.CLINIC:
            return ""
        return {Location.TO_CLINIC: "arrived", Location.CLINIC: "record"}.get(self.case.location, "")

    @property
    def _lacks_only_signature(self) -> bool:
        return [each.field for each in self.missing] == ["signed"]

    @property
    def needed(self) -> str:
        return {
            "sign": _("Your signature on the prescription."),
            "complete": _("The prescription is incomplete."),
            "arrived": _("Say when it has arrived."),
            "record": _to_record(self.stage) if self.stage else "",
        }.get(self.act, _("Nothing."))

    @property
    def order(self) -> tuple[bool, datetime.date, str]:
        """Incomplete prescriptions first, then by the day of the next appointment; no day comes last."""
        visit = self.appointment
        day = visit.due_on if visit and visit.due_on else datetime.date.max
        return (not self.is_incomplete, day, self.case.number)


def _to_record(stage: Any) -> str:
    name = in_a_sentence(stage.get_kind_display()).removesuffix(" record")
    return _("Record the {stage}.").format(stage=name)
