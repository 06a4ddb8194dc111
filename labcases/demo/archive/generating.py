"""A whole archive: a laboratory after years of work, most cases closed, some hundred open."""

import datetime
import random
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass

from django.db import connection, transaction

from labcases.cases.models import Case, NumberSeries
from labcases.demo.archive.copies import Copier, People
from labcases.demo.archive.lives import Finished, closed_lives
from labcases.demo.archive.patterns import TABLES, Pattern, pattern_of
from labcases.demo.archive.tables import gather_statistics, set_sequences, without_indexes
from labcases.demo.loading import add_people
from labcases.demo.scenario import Story, read_people, read_stories
from labcases.demo.telling import Telling
from labcases.people.choices import Role
from labcases.people.models import Practice, User
from labcases.people.refusals import Refused

OPEN = 300
LIVES = 24
# A laboratory of this size takes in as many cases in a year; the archive goes back as many years as that needs.
A_YEAR = 11_000
# From here on it is quicker to build indexes in the end.
LARGE = 3_000
# The newest of the archive have their checklists and specifications; older ones were brought over from paper.
WHOLE = 0.1
WEEK = datetime.timedelta(weeks=1)
PRACTICES, TECHNICIANS = 60, 30
Say = Callable[[int], None]


@dataclass(frozen=True)
class Told:
    """Patterns of open cases, and of closed ones as the newest and as older ones are kept."""

    open: Sequence[Pattern]
    newest: Sequence[Pattern]
    older: Sequence[Pattern]


def generate_archive(
    *,
    cases: int,
    seed: int,
    now: datetime.datetime,
    waiting: int = OPEN,
    lives: int = LIVES,
    stories: Sequence[Story] | None = None,
    say: Say = lambda done: None,
) -> int:
    """Fill an empty site with `cases` cases as of `now`, all or none; returns how many there are.

    The same seed gives the same archive. About `waiting` are open. `lives` closed cases and the scenario's `stories`
    are told through the actions; all others are copies of them. Raises Refused for a site with people of its own.
    """
    if User.objects.exists():
        raise Refused("This site has people of its own; an archive goes into an empty site only.")
    # SQLite can leave foreign keys unproved only outside a transaction; every key here is counted, not typed.
    with connection.constraint_checks_disabled(), transaction.atomic():
        people = add_people(read_people())
        told = _tell(people, lives, read_stories() if stories is None else stories, seed, now)
        everybody = _more_people(people)
        with _without_indexes(cases):
            _copy(told, everybody, cases=cases, waiting=waiting, seed=seed, now=now, say=say)
        set_sequences(TABLES)
    gather_statistics()
    return Case.objects.count()


def _without_indexes(cases: int) -> AbstractContextManager[None]:
    """For an archive that is worth it: PostgreSQL uses an index that it made anew only in the next transaction."""
    tables = [model._meta.db_table for model in TABLES]
    return without_indexes(tables) if cases >= LARGE else nullcontext()


def _tell(
    people: dict[str, User], lives: int, stories: Sequence[Story], seed: int, now: datetime.datetime
) -> Told:
    waiting = [Telling(story, people=people, now=now).tell() for story in stories]
    for case in waiting:
        case.refresh_from_db()
    prescribers = [person for person in people.values() if person.is_clinician]
    closed = []
    for story, cancelled in closed_lives(lives, seed=seed, prescribers=prescribers):
        case = Finished(story, people=people, now=now, cancelled=cancelled).tell()
        case.refresh_from_db()
        closed.append(case)
    return Told(
        [pattern_of(case, whole=True) for case in waiting if case.is_open],
        [pattern_of(case, whole=True) for case in closed],
        [pattern_of(case, whole=False) for case in closed],
    )


def _more_people(people: dict[str, User]) -> People:
    """Numbered technicians and prescribers beside those of the scenario, who cannot sign in."""
    technicians = [person for person in people.values() if person.is_technician]
    technicians += _add(
        User(username=f"bench{number:03d}", display_name=f"Technician {number:03d}", role=Role.TECHNICIAN)
        for number in range(1, TECHNICIANS + 1)
    )
    practices = Practice.objects.bulk_create(
        Practice(code=f"P{number:03d}", name=f"Practice {number:03d} (demo)", address=f"{number} Demo Street")
        for number in range(1, PRACTICES + 1)
    )
    prescribers = [person for person in people.values() if person.is_clinician]
    prescribers += _add(
        User(
            username=f"prescriber{number:03d}",
            display_name=f"Dr Prescriber {number:03d}",
            role=Role.CLINICIAN,
            practice=practices[number % PRACTICES],
            licence_number=f"DEMO-9{number:03d}",
        )
        for number in range(2 * PRACTICES)
    )
    return People(tuple(technicians), tuple(prescribers))


def _add(people: object) -> list[User]:
    made = list(people)  # type: ignore[call-overload]
    for person in made:
        person.set_unusable_password()
    return User.objects.bulk_create(made)


def _copy(
    told: Told, people: People, *, cases: int, waiting: int, seed: int, now: datetime.datetime, say: Say
) -> None:
    dice = random.Random(f"archive {seed}")
    numbers = dict(NumberSeries.objects.values_list("year", "last"))
    copier = Copier(people, numbers=numbers, dice=dice)
    there = Case.objects.count()
    waiting = min(max(waiting - len(told.open), 0), max(cases - there, 0) // 3) if told.open else 0
    closed = max(cases - there - waiting, 0)
    weeks = 52 * max(3, -(-cases // A_YEAR))
    for number in range(closed):
        newest = number >= closed - int(WHOLE * cases)
        pattern = dice.choice(told.newest if newest else told.older)
        ago = 1 + (closed - 1 - number) * weeks // max(closed, 1)
        copier.copy(pattern, opened_on=pattern.opened_on - ago * WEEK)
        if number % 1000 == 999:
            say(number + 1)
    for number in range(waiting):
        pattern = told.open[number % len(told.open)]
        copier.copy(pattern, opened_on=pattern.opened_on)
    copier.flush()
    for year, last in copier.numbers.items():
        NumberSeries.objects.update_or_create(year=year, defaults={"last": last})
