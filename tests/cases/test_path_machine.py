"""The path of a case as a state machine against a plain model: every move, in any order, by the right people
and with stale versions, is answered the same by both, and leaves both in the same state."""

import datetime
from math import ceil

import pytest
from django.db import connection, transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from labcases.cases.actions import crossings, moves, returns
from labcases.cases.actions.intake import open_case, sign_prescription
from labcases.cases.choices import Arches, CaseKind, ReturnCause, StageKind
from labcases.cases.models import Case, Stage
from labcases.people.refusals import Conflict, Refused
from tests.cases.path_model import COMPLETE_PATH, PlainCase
from tests.factories.cases import FULL_PRESCRIPTION, NOW
from tests.factories.people import ClinicianFactory, LaboratoryFactory, ManagerFactory

picks = st.integers(min_value=0, max_value=10_000)
# Mostly the version that the page would carry, now and then an older one.
ages = st.sampled_from([0, 0, 0, 0, 0, 0, 1, 2])


def answer_of(move, **kwargs) -> str:
    try:
        with transaction.atomic():
            move(**kwargs)
    except Conflict:
        return "conflict"
    except Refused:
        return "refused"
    return "ok"


class PathOfACase(RuleBasedStateMachine):
    steps_taken = 0

    def __init__(self) -> None:
        super().__init__()
        self.atomic = transaction.atomic()
        self.atomic.__enter__()
        self.minutes = 0
        LaboratoryFactory()
        self.manager = ManagerFactory()
        self.prescriber = ClinicianFactory()

    def teardown(self) -> None:
        transaction.set_rollback(True)
        self.atomic.__exit__(None, None, None)

    @initialize(starts_at=st.sampled_from([kind for kind, _ in COMPLETE_PATH[:8]]))
    def take_in(self, starts_at: str) -> None:
        self.case = open_case(
            practice=self.prescriber.practice,
            kind=CaseKind.COMPLETE,
            arches=Arches.BOTH,
            prescription={**FULL_PRESCRIPTION, "prescriber": self.prescriber},
            dates={StageKind.INSERTION: NOW.date()},
            starts_at=starts_at,
            by=self.manager,
            now=NOW,
        )
        sign_prescription(case=self.case, by=self.manager, expected_version=1, now=NOW)
        self.plain = PlainCase.starting_at(starts_at)
        self.events_before = self._moves_logged()

    def _moves_logged(self) -> int:
        return self.case.events.count()

    def _now(self) -> datetime.datetime:
        self.minutes += 1
        type(self).steps_taken += 1
        return NOW + datetime.timedelta(minutes=self.minutes)

    def _row(self, index: int) -> Stage:
        return Stage.objects.select_related("case").get(pk=self.keys[index])

    def _pick(self, pick: int, near: bool):
        current = self.plain.current()
        index = self.plain.stages.index(current) if near and current else pick % len(self.keys)
        return self._row(index), self.plain.stages[index]

    @rule(pick=picks, near=st.sampled_from([True, True, True, False]), age=ages)
    def start(self, pick: int, near: bool, age: int) -> None:
        self._stage_move("start", moves.start_stage, pick, near, age)

    @rule(pick=picks, near=st.sampled_from([True, True, True, False]), age=ages)
    def finish(self, pick: int, near: bool, age: int) -> None:
        self._stage_move("finish", moves.finish_stage, pick, near, age)

    @rule(pick=picks, near=st.booleans(), age=ages)
    def hold(self, pick: int, near: bool, age: int) -> None:
        self._stage_move("hold", moves.hold_stage, pick, near, age, reason="waiting for the shade")

    @rule(pick=picks, near=st.booleans(), age=ages)
    def resume(self, pick: int, near: bool, age: int) -> None:
        self._stage_move("resume", moves.resume_stage, pick, near, age)

    @rule(pick=picks, age=ages)
    def skip(self, pick: int, age: int) -> None:
        self._stage_move("skip", moves.skip_stage, pick, False, age, reason="made chairside")

    def _stage_move(self, name, move, pick, near, age, **extra) -> None:
        row, plain = self._pick(pick, near)
        seen = plain.version - age
        expected = getattr(self.plain, name)(plain, seen)
        answered = answer_of(
            move, stage=row, by=self.manager, expected_version=seen, now=self._now(), **extra
        )
        assert answered == expected, f"{name} {row}: {answered}, by the rules {expected}"

    @rule(pick=picks, to=picks, near=st.sampled_from([True, True, True, False]), age=ages)
    def send_back(self, pick: int, to: int, near: bool, age: int) -> None:
        row, plain = self._pick(pick, near)
        allowed = self.plain.places_to_return_to()
        if near and allowed:
            target = self.plain.stages.index(allowed[to % len(allowed)])
        else:
            target = to % len(self.plain.stages)
        to_row = self._row(target)
        seen = plain.version - age
        expected = self.plain.send_back(plain, self.plain.stages[target], seen)
        answered = answer_of(
            returns.send_back,
            stage=row,
            to=to_row,
            cause=ReturnCause.MIDLINE,
            note="",
            by=self.manager,
            expected_version=seen,
            now=self._now(),
        )
        assert answered == expected, f"send back {row} to {to_row}: {answered}, by the rules {expected}"

    @rule()
    def receive(self) -> None:
        expected = self.plain.receive()
        case = Case.objects.get(pk=self.case.pk)
        answered = answer_of(
            crossings.receive_at_laboratory,
            case=case,
            agent="Label A",
            minutes=10,
            minutes_required=10,
            by=self.manager,
            now=self._now(),
        )
        assert answered == expected

    @rule()
    def hand_over(self) -> None:
        expected = self.plain.hand_over()
        case = Case.objects.get(pk=self.case.pk)
        assert answer_of(crossings.hand_to_clinic, case=case, by=self.manager, now=self._now()) == expected

    @rule()
    def accept(self) -> None:
        expected = self.plain.accept()
        case = Case.objects.get(pk=self.case.pk)
        assert answer_of(crossings.accept_at_clinic, case=case, by=self.manager, now=self._now()) == expected

    @invariant()
    def both_are_in_the_same_state(self) -> None:
        if not hasattr(self, "plain"):
            return
        rows = list(
            Stage.objects.filter(case=self.case)
            .order_by("position")
            .values_list("pk", "position", "kind", "place", "visit", "state", "version")
        )
        assert [row[2:] for row in rows] == [
            (plain.kind, plain.place, plain.visit, plain.state, plain.version) for plain in self.plain.stages
        ]
        assert [row[1] for row in rows] == list(range(1, len(rows) + 1))
        # Of the stages in their order; read here once for the next move too.
        self.keys = [row[0] for row in rows]
        current = self.plain.current()
        expected = rows[self.plain.stages.index(current)][0] if current else None
        assert Case.objects.values_list("location", "state", "current_stage").get(pk=self.case.pk) == (
            self.plain.location,
            self.plain.state,
            expected,
        )
        assert self._moves_logged() - self.events_before == self.plain.events


@pytest.mark.short
@pytest.mark.timeout(900)
@pytest.mark.django_db
def test_any_moves_end_where_the_rules_say(proof) -> None:
    # The rules are the program's own; of PostgreSQL the short form asks only that it agrees.
    moves = 4_000 if connection.vendor == "sqlite" else 1_000
    taken = _walk(steps=100, at_least=moves)
    proof("path-of-a-case").reached(taken, "moves without a divergence")


# In ten walks, each a test: whoever shares out the tests sees how far this file is.
@pytest.mark.full
@pytest.mark.timeout(3600)
@pytest.mark.django_db
@pytest.mark.parametrize("tenth", range(10))
def test_any_hundred_thousand_moves_end_where_the_rules_say(tenth: int, proof) -> None:
    moves = 10_000 if connection.vendor == "sqlite" else 1_000
    taken = _walk(steps=100, at_least=moves)
    proof("path-of-a-case").reached(taken, "moves without a divergence")


def _walk(*, steps: int, at_least: int) -> int:
    """Walk until enough moves were made; Hypothesis may end an example before its last step."""
    PathOfACase.steps_taken = 0
    while (missing := at_least - PathOfACase.steps_taken) > 0:
        run_state_machine_as_test(
            PathOfACase,
            settings=settings(
                max_examples=ceil(missing / steps),
                stateful_step_count=steps,
                deadline=None,
                suppress_health_check=list(HealthCheck),
            ),
        )
    assert PathOfACase.steps_taken >= at_least
    return PathOfACase.steps_taken
