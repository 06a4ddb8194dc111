"""Random laboratories with more work than time."""

import datetime
import random
from zoneinfo import ZoneInfo

from labcases.planning.scheduling.times import SKILLS, USUAL_TIMES
from labcases.planning.scheduling.work import Job, Person, Piece, Problem, Work
from labcases.planning.working_time import USUAL_WEEK, Absence, WorkingCalendar

LONDON = ZoneInfo("Europe/London")
MONDAY = datetime.date(2026, 3, 23)  # the clocks change within the ten days
CHAINS = (
    ("custom_tray",),
    ("master_cast", "record_base", "occlusion_rims"),
    ("tooth_arrangement",),
    ("processing",),
    ("reline",),
)


def laboratory(
    people: int = 12, days: int = 10, *, rng: random.Random
) -> tuple[WorkingCalendar, list[Person]]:
    calendar = WorkingCalendar(USUAL_WEEK, LONDON, {datetime.date(2026, 4, 3): "Good Friday"})
    skills = list(SKILLS)
    found = []
    for key in range(people):
        mine = {skills[key % len(skills)], *rng.sample(skills, rng.choice((0, 1, 1, 2)))}
        absences = []
        if rng.random() < 0.4:
            first = MONDAY + datetime.timedelta(days=rng.randrange(days + 2))
            absences.append(Absence(first, first + datetime.timedelta(days=rng.randrange(3))))
        found.append(
            Person(key + 1, f"Person {key + 1}", calendar.for_person(absences=absences), frozenset(mine))
        )
    return calendar, found


def overloaded(
    seed: int, *, stages: int = 300, people: int = 12, days: int = 10, load: float = 1.1
) -> Problem:
    """Due one to five working days after release; hands-on minutes add up to `load` times what there is."""
    rng = random.Random(seed)
    calendar, team = laboratory(people, days, rng=rng)
    now = calendar.opening_on(MONDAY)
    chains = _chains(rng, stages)
    planned = calendar.next_days(MONDAY, days)
    there = sum(person.calendar.minutes_on(day) for person in team for day in planned)
    asked = sum(USUAL_TIMES[kind].hands for chain in chains for kind in chain)
    scale = load * there / asked
    jobs, key = [], 0
    for number, chain in enumerate(chains):
        works = []
        for kind in chain:
            key += 1
            works.append(_work(key, kind, scale, rng))
        released = rng.choice(planned[: max(1, days - 3)])
        due = calendar.closing_on(calendar.shift(released, rng.randint(1, 5)))
        release = max(now, calendar.opening_on(released))
        jobs.append(
            Job(number + 1, f"J{number + 1}", tuple(works), release, due, rng.choice((1, 1, 1, 2, 4)))
        )
    return Problem(tuple(jobs), tuple(team), calendar, now, days)


def _chains(rng: random.Random, stages: int) -> list[tuple[str, ...]]:
    chains: list[tuple[str, ...]] = []
    left = stages
    while left:
        chain = rng.choice(CHAINS)[:left]
        chains.append(chain)
        left -= len(chain)
    return chains


def _work(key: int, kind: str, scale: float, rng: random.Random) -> Work:
    time = USUAL_TIMES[kind]
    stretch = scale * rng.uniform(0.8, 1.2)
    pieces = tuple(Piece(max(5, round(piece.minutes * stretch)), piece.wait_after) for piece in time.pieces())
    return Work(key, kind, time.skill, pieces)
