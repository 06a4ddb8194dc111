"""The site, or the database's server, dies without warning under eight people who write: nothing said is lost."""

import os
import queue
import signal
import threading
import time
from collections import Counter

import pytest
from django.db import InterfaceError, OperationalError, connection, connections

from labcases.cases.choices import Act, StageKind, StageState
from labcases.cases.models import Case, Event, Stage
from labcases.measurements.models import Reading
from labcases.people.actions.once import digest_of
from labcases.people.models import OneTimeKey
from labcases.records.checking import check_cases
from tests.factories.people import TechnicianFactory
from tests.reliability.crowd import stages_at_work
from tests.reliability.killing import Person, Site, one_time_key

PEOPLE = 8
# A round ends after so many answers, or when it has lasted so long (s).
ANSWERS, ROUND_LASTS = (5, 60), 5
STAGES_A_ROUND = ANSWERS[1] + 3 * PEOPLE


class Shift:
    """Eight people at work on one site, round after round; each ends when something is killed."""

    def __init__(self, site, rng):
        self.site, self.rng = site, rng
        # Of one person, so that each key belongs to one stage whoever of the eight browsers sends it.
        self.technician = TechnicianFactory()
        self.people = [Person.signed_in(self.technician, name=f"browser {n}") for n in range(PEOPLE)]
        self.stages, self.waiting = [], queue.Queue()

    def round(self, kill):
        """Let everybody write, kill at some moment, and wait until nobody has an answer to wait for."""
        new = stages_at_work(
            STAGES_A_ROUND, by=self.technician, kind=StageKind.OCCLUSION_RIMS, numbered_from=len(self.stages)
        )
        self.stages += new
        for stage in new:
            self.waiting.put(stage.pk)
        stop = threading.Event()
        at_work = [
            threading.Thread(target=person.work, args=(self.site.port, self.waiting, stop))
            for person in self.people
        ]
        enough = len(self.acknowledged()) + self.rng.randint(*ANSWERS)
        for thread in at_work:
            thread.start()
        until = time.monotonic() + ROUND_LASTS
        while len(self.acknowledged()) < enough and time.monotonic() < until:
            time.sleep(0.002)
        time.sleep(self.rng.random() * 0.02)
        kill()
        stop.set()
        for thread in at_work:
            thread.join()

    def acknowledged(self):
        return [stage for person in self.people for stage in person.acknowledged]

    def strange(self):
        return [words for person in self.people for words in person.strange]


def traces(shift):
    """What is left of each stage: state, version, next stage, figures, their entries, whether log and key agree."""
    stages = [stage.pk for stage in shift.stages]
    of_figures = Counter(Reading.objects.values_list("stage", flat=True))
    taken = Counter(Event.objects.filter(act=Act.READING).values_list("stage", flat=True))
    finished = Counter(Event.objects.filter(act=Act.FINISHED).values_list("stage", flat=True))
    logged = Counter(Event.objects.values_list("case", flat=True))
    keys = set(OneTimeKey.objects.exclude(answer="").values_list("key", flat=True))
    rows = Stage.objects.filter(pk__in=stages).values_list(
        "pk", "state", "version", "case__current_stage__kind", "case", "case__log_length"
    )
    return {
        pk: (state, version, at, of_figures[pk], taken[pk], finished[pk], logged[case] == length)
        + (digest_of(one_time_key(pk), shift.technician) in keys,)
        for pk, state, version, at, case, length in rows
    }


NOTHING = (StageState.IN_PROGRESS, 2, StageKind.OCCLUSION_RIMS, 0, 0, 0, True, False)
ALL = (StageState.DONE, 3, StageKind.INSERTION, 1, 1, 1, True, True)


def require_all_or_nothing(shift):
    found = traces(shift)
    halves = {pk: trace for pk, trace in found.items() if trace not in (NOTHING, ALL)}
    lost = [pk for pk in shift.acknowledged() if found[pk] != ALL]
    assert not halves
    assert not lost
    assert not shift.strange()
    return found


def require_sound_logs():
    assert not [checked.broken for checked in check_cases(Case.objects.order_by("pk")) if checked.broken]


@pytest.fixture
def site(transactional_db, project_root):
    site = Site(project_root)
    yield site
    site.kill()


@pytest.fixture
def shift(site, rng):
    return Shift(site, rng)


@pytest.mark.timeout(3600)
@pytest.mark.parametrize("kills", [3, pytest.param(200, marks=pytest.mark.full)])
def test_no_answered_form_is_lost_and_none_is_kept_by_half_when_the_site_is_killed(shift, kills, proof):
    kills = how_many(kills)
    cut_off = 0
    for _ in range(kills):
        shift.site.start()
        shift.round(shift.site.kill)
        require_all_or_nothing(shift)
        cut_off += sum(person.unanswered is not None for person in shift.people)
    assert cut_off > 0, "no kill met anybody at work"
    the_rest_is_answered_once(shift)
    require_sound_logs()
    proof("kills-of-the-site").reached(
        kills, f"kills; {len(shift.acknowledged())} answered forms compared, {cut_off} cut off and sent again"
    )


def how_many(kills):
    if connection.vendor == "sqlite":
        return kills
    return 1 if kills == 3 else 100


def the_rest_is_answered_once(shift):
    """Whoever was cut off sends the same form again, and it is done once, not twice."""
    again = [person.unanswered for person in shift.people if person.unanswered is not None]
    shift.site.start()
    shift.waiting = queue.Queue()
    for person in shift.people:
        if person.unanswered is not None:
            person.work(shift.site.port, shift.waiting, threading.Event())
    shift.site.kill()
    found = require_all_or_nothing(shift)
    assert all(found[pk] == ALL for pk in again)
    assert set(again) <= set(shift.acknowledged())


@pytest.mark.full
@pytest.mark.timeout(3600)
@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has no server that could be killed")
def test_no_answered_form_is_lost_when_the_databases_server_is_killed(shift, proof):
    """One of its processes killed, the server ends all the others and recovers from its log."""
    if not writes_before_it_answers():
        pytest.skip("PostgreSQL was started without flushing; start it with DURABLE=1")
    kills, cut_off = 20, 0
    shift.site.start()
    for _ in range(kills):
        shift.round(kill_a_backend)
        wait_for_recovery()
        require_all_or_nothing(shift)
        cut_off += sum(person.unanswered is not None for person in shift.people)
    assert cut_off > 0, "no kill met anybody at work"
    require_sound_logs()
    proof("kills-of-the-database").reached(
        kills, f"kills; {len(shift.acknowledged())} answered forms compared, {cut_off} cut off and sent again"
    )


def writes_before_it_answers():
    with connection.cursor() as cursor:
        cursor.execute("SELECT current_setting('fsync'), current_setting('synchronous_commit')")
        return cursor.fetchone() == ("on", "on")


def kill_a_backend():
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT pid FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()"
        )
        pids = [row[0] for row in cursor.fetchall()]
    assert pids, "the site has no connection to the database"
    os.kill(pids[0], signal.SIGKILL)


def wait_for_recovery():
    until = time.monotonic() + 60
    while time.monotonic() < until:
        connections.close_all()
        try:
            with connection.cursor() as cursor:
                cursor.execute("SELECT 1")
            return
        except (OperationalError, InterfaceError):
            time.sleep(0.1)
    raise AssertionError("the database did not come back")
