"""What goes out to which practice on a day, and what is to be ready until then."""

import datetime
from dataclasses import dataclass, field

from labcases.cases.models import Case
from labcases.people.models import Practice
from labcases.planning.queries.load import Leg, Load, read_load
from labcases.planning.scheduling.greedy import earliest_due_first
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
    load = read_load(now=now, as_given=True)
    plan = earliest_due_first(load.problem)
    found: dict[int, Collection] = {}
    waiting = Case.objects.to_hand_over().select_related("practice", "current_stage").order_by()
    for case in sorted(waiting, key=lambda case: case.number):
        _collection(found, case.practice, day, now, load).ready.append(case)
    for leg in load.legs.values():
        ready = plan.ready(leg.job)
        collection = _cut_off(leg.case, day, load)
        if ready is not None and collection is not None and _goes_then(leg, ready, collection, load):
            _collection(found, leg.case.practice, day, now, load).expected.append(Expected(leg, ready))
    for collection_of in found.values():
        collection_of.expected.sort(key=lambda expected: (expected.ready, expected.leg.case.number))
    return sorted(
        found.values(), key=lambda one: (one.cut_off is None, one.cut_off or now, one.practice.name)
    )


def _cut_off(case: Case, day: datetime.date, load: Load) -> datetime.datetime | None:
    return load.transport_of(case).collection_on(day, load.problem.calendar)


def _goes_then(leg: Leg, ready: datetime.datetime, collection: datetime.datetime, load: Load) -> bool:
    """Whether the leg's work goes with this collection and not with an earlier one."""
    following = load.transport_of(leg.case).next_collection(ready, load.problem.calendar)
    return leg.wanted_on is not None and following == collection


def _collection(
    found: dict[int, Collection], practice: Practice, day: datetime.date, now: datetime.datetime, load: Load
) -> Collection:
    if practice.pk not in found:
        transport = load.transports.get(practice.pk, Transport())
        cut_off = transport.collection_on(day, load.problem.calendar)
        after = None if cut_off else transport.next_collection(now, load.problem.calendar)
        found[practice.pk] = Collection(practice, cut_off, after)
    return found[practice.pk]
