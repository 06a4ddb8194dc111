"""The tools that run the proofs: every row has its planted fault, every fault its place, and no row is too kind."""

from collections import Counter
from pathlib import Path

import pytest

from tests.tools.mutants import ROOT, places
from tests.tools.planted import MUTANTS, SWEEP
from tests.tools.proofs import POSTGRESQL, PROOFS, SQLITE, Proof
from tests.tools.prove import GIVE_ROWS, fault_in, is_below, parts, row_of, table

# Killing the database's server is caught by what killing the site is; a second plant would be the first again.
WITHOUT_A_FAULT = {"kills-of-the-database"}
PROOF = Proof("moves", "cases move as they should", 10, "moves", ("tests/a.py",), told=True)


@pytest.mark.parametrize("mutant", MUTANTS, ids=lambda mutant: mutant.proof)
def test_the_text_that_a_fault_replaces_stands_in_the_code_once(mutant):
    assert places(mutant) == 1
    assert mutant.text != mutant.replacement


def test_every_proof_has_a_fault_of_its_own():
    planted = Counter(mutant.proof for mutant in MUTANTS)
    assert set(planted) == {proof.name for proof in PROOFS} - WITHOUT_A_FAULT


def test_the_tests_of_every_proof_and_fault_are_there():
    named = {test for proof in PROOFS for test in proof.tests} | {SWEEP, *GIVE_ROWS}
    named |= {test for mutant in MUTANTS for test in mutant.tests if test.startswith("tests/")}
    assert [test for test in named if not (ROOT / test.partition("::")[0]).exists()] == []


def line(test="tests/a.py::test_it", outcome="passed", reached=()):
    return {"test": test, "outcome": outcome, "seconds": 2.0, "reached": [list(each) for each in reached]}


def test_a_row_adds_up_what_its_own_tests_told():
    row = row_of(
        PROOF,
        SQLITE,
        [line(reached=[("moves", 4, "moves"), ("other", 90, "x")]), line(reached=[("moves", 6, "moves")])],
    )
    assert (row.reached, row.seconds, row.is_reached) == (10, 4, True)
    assert not row_of(
        PROOF, SQLITE, [line("tests/b.py::test_it", reached=[("moves", 10, "moves")])]
    ).is_reached


@pytest.mark.parametrize("outcome", ["failed", "skipped"])
def test_a_row_with_a_test_that_failed_or_was_skipped_is_not_reached(outcome):
    row = row_of(
        PROOF, SQLITE, [line(reached=[("moves", 50, "moves")]), line("tests/a.py::test_other", outcome)]
    )
    assert not row.is_reached
    said = table([row], seed=7, minutes=1, failures=[])
    assert f"**not reached**: 50 moves (1 {outcome}: test_other)" in said


def test_too_few_are_not_enough_and_nothing_is_nothing():
    assert not row_of(PROOF, SQLITE, [line(reached=[("moves", 9, "moves")])]).is_reached
    assert fault_in([]) == "no test was run"


def test_every_row_is_run_by_a_part_on_its_database():
    for proof in PROOFS:
        for database in proof.databases:
            run = {test for part in parts([proof]) if part.database == database for test in part.tests}
            assert all(
                any(is_below(test, other) for other in run) for test in proof.tests if test != SWEEP
            ), proof
    assert {part.durable for part in parts(PROOFS) if part.database == POSTGRESQL} == {True, False}


def test_a_number_told_in_the_short_form_writes_nothing(proof, request, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    proof("moves").reached(3, "moves")
    assert request.node.user_properties == [("proof", ("moves", 3, "moves"))]
    assert list(Path.cwd().iterdir()) == []
