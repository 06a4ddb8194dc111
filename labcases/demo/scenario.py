"""The demo scenario as data: who works in the invented laboratory, and where each invented case stands."""

import datetime
import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

FIXTURES = Path(__file__).resolve().parent.parent.parent / "fixtures" / "demo"


@dataclass(frozen=True)
class Story:
    """One case of the scenario; figures are texts in the quantity's unit, `due_in` counts days from today."""

    patient: str
    practice: str
    prescriber: str
    at: str
    reached: str
    due_in: int
    note: str = ""
    kind: str = "complete"
    arches: str = "both"
    age: int | None = None
    sex: str = ""
    figures: dict[str, str] = field(default_factory=dict)
    cast: dict[str, str] = field(default_factory=dict)
    measured: list[dict[str, Any]] = field(default_factory=list)
    prescribed: list[dict[str, str]] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    technician: str = ""
    hold_reason: str = ""
    back_to: str = ""
    cause: str = ""
    complaint: str = ""
    then: str = ""
    ticket: bool = False


def read_people() -> dict[str, Any]:
    return tomllib.loads((FIXTURES / "laboratory.toml").read_text(encoding="utf-8"))


def read_stories() -> list[Story]:
    rows = tomllib.loads((FIXTURES / "cases.toml").read_text(encoding="utf-8"))["case"]
    return [Story(**row) for row in rows]


def read_moulds_text() -> str:
    return (FIXTURES / "moulds.csv").read_text(encoding="utf-8")


@dataclass
class Clock:
    """The time of a story: it starts some days back and is moved on by what happens, never past now."""

    now: datetime.datetime
    at: datetime.datetime

    @classmethod
    def working_days_back(cls, now: datetime.datetime, days: int) -> "Clock":
        start = now
        while days > 0:
            start -= datetime.timedelta(days=1)
            days -= start.weekday() < 5
        return cls(now, start.replace(hour=8, minute=10, second=0, microsecond=0))

    def minutes_on(self, minutes: int = 25) -> datetime.datetime:
        self.at = min(self.at + datetime.timedelta(minutes=minutes), self.now)
        return self.at

    def next_day(self) -> datetime.datetime:
        morning = (self.at + datetime.timedelta(days=1)).replace(hour=8, minute=20)
        while morning.weekday() >= 5:
            morning += datetime.timedelta(days=1)
        self.at = min(morning, self.now)
        return self.at
