"""Checks a plan against the rules of the laboratory, by dates and clocks, without the planner's own arithmetic."""

import datetime
from itertools import pairwise

from labcases.planning.scheduling.plans import Placement, Plan
from labcases.planning.scheduling.work import Job, Person, Work

UTC = datetime.UTC


def complaints(plan: Plan) -> list[str]:
    """Everything that is wrong with a plan; empty for a good one."""
    found: list[str] = []
    for job in plan.problem.jobs:
        found += _about_job(plan, job)
    for person in plan.problem.people:
        found += _about_person(plan, person)
    known = {work.key for job in plan.problem.jobs for work in job.works}
    found += [f"{key} is not in the problem" for key in plan.placements if key not in known]
    cost = sum(job.weight * plan.late[job.key] for job in plan.problem.jobs if job.key in plan.late)
    if cost != plan.cost:
        found.append(f"the cost is {cost}, not {plan.cost}")
    return found


def _about_job(plan: Plan, job: Job) -> list[str]:
    placed = plan.of(job)
    if job.key in plan.stuck:
        return [] if len(placed) < len(job.works) else [f"{job.label} is placed, though it is called stuck"]
    if len(placed) != len(job.works):
        return [f"{job.label} is not placed whole"]
    found = []
    free = max(plan.problem.now, job.release)
    for placement in placed:
        work = placement.work
        if work.not_before and placement.start < work.not_before:
            found.append(f"{job.label} {work.label} starts before its day")
        for piece, (start, end) in zip(work.pieces, placement.spans, strict=True):
            if start < free:
                found.append(f"{job.label} {work.label} starts at {start}, before {free}")
            free = end.astimezone(UTC) + datetime.timedelta(minutes=piece.wait_after)
    if plan.late[job.key] != _late_days(plan, job, free):
        found.append(f"{job.label} is said to be {plan.late[job.key]} days late")
    return found


def _late_days(plan: Plan, job: Job, ready: datetime.datetime) -> int:
    if job.due is None:
        return 0
    calendar = plan.problem.calendar
    due = job.due.astimezone(calendar.zone)
    deadline, days = due, 0
    while ready > deadline:
        days += 1
        day = calendar.shift(due.date() + datetime.timedelta(days=1), days - 1)
        deadline = datetime.datetime.combine(day, due.time(), calendar.zone)
    return days


def _about_person(plan: Plan, person: Person) -> list[str]:
    found = []
    mine = plan.given_to(person.key)
    # Two dates of one zone are compared by their clocks, and in the hour that the clocks show twice those mislead.
    spans = sorted((start.astimezone(UTC), end.astimezone(UTC)) for p in mine for start, end in p.spans)
    for (_, end), (start, _) in pairwise(spans):
        if start < end:
            found.append(f"{person.name} does two things at {start}")
    for placement in mine:
        found += _about_placement(person, placement)
    return found


def _about_placement(person: Person, placement: Placement) -> list[str]:
    work, found = placement.work, []
    if not _may_do(person, work):
        found.append(f"{person.name} may not do {work.label}")
    for piece, (start, end) in zip(work.pieces, placement.spans, strict=True):
        there = person.calendar.minutes_between(start, end)
        if there != piece.minutes:
            found.append(f"{person.name} has {there} minutes for {piece.minutes} of {work.label}")
        passed = (end.astimezone(UTC) - start.astimezone(UTC)).total_seconds() / 60
        if piece.minutes <= 90 and passed != piece.minutes:
            found.append(f"{work.label} rests, though it is short")
        for moment in (start, end - datetime.timedelta(minutes=1)):
            minute = moment.hour * 60 + moment.minute
            if not any(o.start <= minute < o.end for o in person.calendar.openings_on(moment.date())):
                found.append(f"{person.name} is not there at {moment}")
    return found


def _may_do(person: Person, work: Work) -> bool:
    if work.fixed_to is not None:
        return work.fixed_to == person.key
    return person.skills is None or work.skill in person.skills
