"""Curing by the clock: when each step ends and when the flask may be opened.

Durations are elapsed time: they are added in universal time and shown on the laboratory's own clock, so that
a night in which the clocks change still cures for as long as it should.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words

MONOMER_BOILS = 100.8
CYCLE_SOURCE = Source(Words("teaching notes on denture processing"), Provenance.SEEN, "M")
COOLING_SOURCE = Source(
    Words("Savirmath A, Mishra V, JCDR 2016;10(11):ZC50: slow cooling distorts least"), Provenance.SEEN, "H"
)


@dataclass(frozen=True)
class Step:
    """One step: what is done, for how many minutes, at which temperature in °C (None: cooling)."""

    name: str
    minutes: float
    temperature: float | None = None


@dataclass(frozen=True)
class Cycle:
    """A curing cycle: heating with at least `least_hold` minutes at or above 74 °C, then cooling."""

    label: str
    steps: tuple[Step, ...]
    least_hold: float
    source: Source = CYCLE_SOURCE


HOLD, BOIL = Words("hold"), Words("boil")
BENCH, WATER = Step(Words("cool on the bench"), 30), Step(Words("cool in running water"), 15)
CURING_CYCLES: dict[str, Cycle] = {
    "long": Cycle(Words("Long: 74 °C for 8 h"), (Step(HOLD, 480, 74), BENCH, WATER), 480),
    "long_with_boil": Cycle(
        Words("Long with terminal boil: 74 °C for 8 h, 100 °C for 1 h"),
        (Step(HOLD, 480, 74), Step(BOIL, 60, 100), BENCH, WATER),
        480,
    ),
    "short": Cycle(
        Words("Short: 74 °C for 2 h, 100 °C for 1 h"),
        (Step(HOLD, 120, 74), Step(BOIL, 60, 100), BENCH, WATER),
        90,
    ),
}
HOLD_TEMPERATURE = 74.0


@dataclass(frozen=True)
class TimedStep:
    """A step with the clock times at which it starts and ends."""

    step: Step
    start: datetime
    end: datetime


@dataclass(frozen=True)
class Schedule:
    """The whole cycle by the clock; `notes` says what to mind."""

    steps: tuple[TimedStep, ...]
    notes: tuple[str, ...]

    @property
    def ready_by(self) -> datetime:
        return self.steps[-1].end


def schedule(start: datetime, cycle: Cycle) -> Schedule:
    """Clock times of a cycle that begins at `start`, an aware datetime; times carry its time zone."""
    _check(start, "start", cycle)
    zone, clock, timed = start.tzinfo, start.astimezone(UTC), []
    for step in cycle.steps:
        end = clock + timedelta(minutes=step.minutes)
        timed.append(TimedStep(step, clock.astimezone(zone), end.astimezone(zone)))
        clock = end
    return Schedule(tuple(timed), tuple(_notes(cycle.steps, cycle.least_hold)))


def start_for(ready_by: datetime, cycle: Cycle) -> datetime:
    """The latest start with which the cycle is over at `ready_by`, an aware datetime."""
    _check(ready_by, "ready_by", cycle)
    whole = timedelta(minutes=sum(step.minutes for step in cycle.steps))
    return (ready_by.astimezone(UTC) - whole).astimezone(ready_by.tzinfo)


def _check(moment: datetime, field: str, cycle: Cycle) -> None:
    if moment.tzinfo is None or moment.utcoffset() is None:
        raise InputError(field, moment.isoformat(), Words("a time with its time zone"))
    if not cycle.steps:
        raise InputError("steps", str(Words("none")), Words("at least one step"))
    for step in cycle.steps:
        if not 0 < step.minutes <= 2880:
            raise InputError(
                Words("minutes of {name}").of(name=step.name),
                step.minutes,
                Words("more than 0 and at most 2880 minutes"),
            )
        if step.temperature is not None and not 15 <= step.temperature <= 180:
            raise InputError(
                Words("temperature of {name}").of(name=step.name), step.temperature, "15 to 180 °C"
            )


def _notes(steps: Sequence[Step], least_hold: float) -> list[str]:
    held = 0.0
    notes: list[str] = [Words("The material's own instructions go before this cycle.")]
    for step in steps:
        if step.temperature is None:
            continue
        if step.temperature > 100 and held < least_hold:
            notes.append(
                Words(
                    "{temperature:g} °C before {least_hold:g} minutes at {hold_temperature:g} °C are over: "
                    "monomer boils at {boiling} °C and leaves pores in thick parts."
                ).of(
                    temperature=step.temperature,
                    least_hold=least_hold,
                    hold_temperature=HOLD_TEMPERATURE,
                    boiling=MONOMER_BOILS,
                )
            )
        if step.temperature >= HOLD_TEMPERATURE:
            held += step.minutes
    if held < least_hold:
        notes.append(
            Words(
                "Only {held:g} minutes at {hold_temperature:g} °C or above; the cycle asks for {least_hold:g}."
            ).of(held=held, hold_temperature=HOLD_TEMPERATURE, least_hold=least_hold)
        )
    if not any(step.temperature is None for step in steps):
        notes.append(Words("No cooling in the list: open the flask only when it has cooled down slowly."))
    return notes
