"""A small laboratory with cases at work, for tests of what is read and done about its plan."""

import datetime
from zoneinfo import ZoneInfo

from labcases.cases.actions.crossings import receive_at_laboratory
from labcases.cases.actions.moves import finish_stage, start_stage
from labcases.cases.choices import StageKind
from tests.factories.cases import taken_in_case
from tests.factories.people import ManagerFactory, TechnicianFactory
from tests.factories.planning import PersonSkillFactory

LONDON = ZoneInfo("Europe/London")
# A Monday morning.
NOW = datetime.datetime(2026, 3, 2, 9, 0, tzinfo=LONDON)


def at(day: int, hour: int, minute: int = 0) -> datetime.datetime:
    """A time on a day of March 2026 (0 and less: before it); the 2nd is a Monday."""
    date = datetime.date(2026, 3, 1) + datetime.timedelta(days=day - 1)
    return datetime.datetime.combine(date, datetime.time(hour, minute), LONDON)


def skilled(*skills: str, **more: object):
    person = TechnicianFactory(**more)
    for skill in skills:
        PersonSkillFactory(person=person, skill=skill)
    return person


def case_here(*, by=None, starts_at=StageKind.CUSTOM_TRAY, now=NOW, **changes):
    """A case whose first laboratory stage can be begun at once."""
    by = by or ManagerFactory()
    case = taken_in_case(by=by, starts_at=starts_at, now=now, **changes)
    receive_at_laboratory(case=case, agent="A", minutes=10, minutes_required=10, by=by, now=now)
    case.refresh_from_db()
    return case


def stage(case, kind):
    return case.stages.select_related("case", "case__practice").filter(kind=kind).latest("position")


def tray_done(case, *, now=NOW):
    """The case once its custom tray is finished and waits to be handed over."""
    made = stage(case, StageKind.CUSTOM_TRAY)
    start_stage(stage=made, by=case.opened_by, expected_version=made.version, now=now)
    made.refresh_from_db()
    finish_stage(stage=made, by=case.opened_by, expected_version=made.version, now=now)
    case.refresh_from_db()
    return case
