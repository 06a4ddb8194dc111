"""Closed cases to copy: each told through the same actions that people use, from prescription to insertion."""

import datetime
import random

from labcases.cases.actions.intake import cancel_case
from labcases.cases.actions.returns import send_back
from labcases.cases.choices import Arches, CaseKind, ReturnCause, StageKind
from labcases.cases.models import Case
from labcases.cases.queries import stages_to_return_to
from labcases.demo.scenario import Story
from labcases.demo.telling import Telling
from labcases.measurements.queries import Box
from labcases.people.models import User

# In hundredths (common practice, no source): most work is complete dentures, most of it in both arches.
KINDS = {CaseKind.COMPLETE: 80, CaseKind.IMMEDIATE: 7, CaseKind.COPY: 6, CaseKind.RELINE: 7}
ARCHES = {Arches.BOTH: 72, Arches.MAXILLARY: 20, Arches.MANDIBULAR: 8}
CAUSES = (
    ReturnCause.MIDLINE,
    ReturnCause.APPEARANCE,
    ReturnCause.VERTICAL_DIMENSION,
    ReturnCause.CENTRIC_RELATION,
    ReturnCause.MOULD_SHADE,
)
SENT_BACK, CANCELLED = 0.15, 0.03
# Which share of what could be measured at the bench is: with the figures of the chair some thirty in a case.
MEASURED = 0.5


class Finished(Telling):
    """A case that is closed: inserted, after a second try-in for some, or cancelled on the way for a few."""

    def __init__(
        self, story: Story, *, people: dict[str, User], now: datetime.datetime, cancelled: bool = False
    ) -> None:
        super().__init__(story, people=people, now=now)
        self.dice = random.Random(f"closed {story.patient}")
        self.goes_back = not cancelled and self.dice.random() < SENT_BACK
        self.cancelled = cancelled
        # Room for the visits that a return repeats, so that nothing is squeezed against now.
        self.clock.at -= datetime.timedelta(days=14)

    def tell(self) -> Case:
        case = super().tell()
        if self.cancelled:
            case.refresh_from_db()
            cancel_case(
                case=case,
                by=self.manager,
                reason="The patient has moved away.",
                expected_version=case.version,
                now=self.clock.minutes_on(),
            )
        return case

    def _measured(self, boxes: list[Box]) -> list[Box]:
        asked = super()._measured(boxes)
        return [box for box in asked if self.dice.random() < MEASURED] or asked[:1]

    def _treat(self) -> None:
        stage = self._stage()
        if stage.kind == StageKind.TRY_IN and self.goes_back:
            self.goes_back = False
            back = {each.kind: each for each in stages_to_return_to(self.case)}
            send_back(
                stage=stage,
                to=back[StageKind.TOOTH_ARRANGEMENT],
                cause=self.dice.choice(CAUSES),
                note="To be seen again at the next try-in.",
                outcome="To be seen again at the next try-in.",
                by=self.clinician,
                expected_version=stage.version,
                now=self.clock.minutes_on(45),
            )
        else:
            super()._treat()


def closed_lives(count: int, *, seed: int, prescribers: list[User]) -> list[tuple[Story, bool]]:
    """Stories of `count` closed cases, each with whether it ends cancelled; the same for the same seed."""
    dice = random.Random(f"lives {seed}")
    return [_life(number, dice, prescribers) for number in range(count)]


def _life(number: int, dice: random.Random, prescribers: list[User]) -> tuple[Story, bool]:
    # The first lives are of every kind, so that a handful of them is a mixture already.
    kind = list(KINDS)[number] if number < len(KINDS) else _one_of(KINDS, dice)
    cancelled = number >= len(KINDS) and dice.random() < CANCELLED
    prescriber = prescribers[number % len(prescribers)]
    story = Story(
        patient=f"LIFE-{number:03d}",
        practice=prescriber.practice.code if prescriber.practice else "",
        prescriber=prescriber.username,
        at=StageKind.JAW_RELATION if cancelled and kind != CaseKind.RELINE else StageKind.INSERTION,
        reached="out" if cancelled else "complete",
        due_in=-3,
        kind=kind,
        arches=_one_of(ARCHES, dice),
        age=dice.randint(52, 91),
        sex=dice.choice(["female", "male"]),
        figures=_chair(dice),
    )
    return story, cancelled


def _one_of(weights: dict, dice: random.Random) -> str:
    return str(dice.choices(list(weights), list(weights.values()))[0])


def _chair(dice: random.Random) -> dict[str, str]:
    return {
        "papilla_to_resting_lip": f"{dice.randint(55, 95) / 10}",
        "incisal_display": f"{dice.randint(0, 6) / 2}",
        "upper_lip_length": f"{dice.randint(20, 28)}",
    }
