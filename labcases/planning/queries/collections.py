"""What goes out to which practice on a day, and what is to be ready until then."""

import datetime
from dataclasses import dataclass, field

from labcases.cases.models import Case
from labcases.people.models import Practice
from labcases.planning.queries.load import Leg, Load
from labcases.planning.queries.outlook import Outlook, outlook
from labcases.planning.working_time import Transport


@dataclass(frozen=True)
class Expected:
    """Work that the plan has ready before the collection; `ready` is when."""

    leg: Leg
    ready: datetime.datetime


@dataclass
class Collection:
    """One practice's collection on a day. `cut_off` is None if nothing goes out to it that day."""

    practice: Practice
    cut_off: datetime.datetime | None
    next_cut_off: datetime.datetime | None = None
    ready: list[Case] = field(default_factory=list)
    expected: list[Expected] = field(default_factory=list)


def collection_list(day: datetime.date, *, now: datetime.datetime) -> list[Collection]:
    """Practices with something to go out, in order of the hour: what stands ready and what will be ready by then.

    For a day to come only what the plan has ready is listed beside what waits already.
    """
    seen = outlook(now=now)
    load, found = seen.load, dict[int, Collection]()
    waiting = Case.objects.to_hand_over().select_related("practice", "current_stage").order_by()
    for case in sorted(waiting, key=lambda case: case.number):
        _collection(found, case.practice, day, now, load).ready.append(case)
    expected = [Expected(leg, ready) for leg in load.legs.values() if (ready := _ready_for(leg, day, seen))]
    for one in expected:
        # The plan holds what is shown of a practice, which need not be asked for again.
        case = one.leg.case
        practice = Practice(pk=case.practice_id, name=case.practice, code=case.practice_code)
        _collection(found, practice, day, now, load).expected.append(one)
    for collection_of in found.values():
        collection_of.expected.sort(key=lambda expected: (expected.ready, expected.leg.case.number))
    return sorted(
        found.values(), key=lambda one: (one.cut_off is None, one.cut_off or now, one.practice.name)
    )


def _ready_for(leg: Leg, day: datetime.date, seen: Outlook) -> datetime.datetime | None:
    """When the plan has the leg's work ready, if it goes with that day's collection and not with an earlier one."""
    transport, calendar = seen.load.transport_of(leg.case), seen.load.problem.calendar
    ready, collection = seen.plan.ready(leg.job), transport.collection_on(day, calendar)
    if ready is None or collection is None or leg.wanted_on is None:
        return None
    return ready if transport.next_collection(ready, calendar) == collection else None


def _collection(
    found: dict[int, Collection], practice: Practice, day: datetime.date, now: datetime.datetime, load: Load
) -> Collection:
    if practice.pk not in found:
        transport = load.transports.get(practice.pk, Transport())
        cut_off = transport.collection_on(day, load.problem.calendar)
        after = None if cut_off else transport.next_collection(now, load.problem.calendar)
        found[practice.pk] = Collection(practice, cut_off, after)
    return found[practice.pk]
