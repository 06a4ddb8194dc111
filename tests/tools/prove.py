"""Runs every proof in its long form and writes docs/proof.md from what the tests told: `make prove`.

    python -m tests.tools.prove [--only NAME ...] [--seed N] [--output FILE]

Exit 1 if any row was not reached, was skipped, or any test failed. With --only the table goes to the terminal.
"""

import argparse
import json
import os
import secrets
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from tests.tools.proofs import EXCUSED, POSTGRESQL, PROOFS, SQLITE, Proof

ROOT = Path(__file__).resolve().parent.parent.parent
DOCUMENT = ROOT / "docs" / "proof.md"
SWEEP = "tests/tools/every_action.py"
# Its tests give every act that writes the rows it is tried with.
GIVE_ROWS = (
    *("tests/cases", "tests/measurements", "tests/people", "tests/planning", "tests/records", "tests/upkeep"),
    *("tests/attachments", "tests/post", "tests/tickets/actions", "tests/bench", "tests/clinic"),
    *("tests/office", "tests/pages"),
)
KILLS = "tests/reliability/test_kills.py"
PYTEST = (sys.executable, "-m", "pytest", "-q", "--full", "--timeout", "5400")
TWO = ("-n", "2", "--dist", "loadfile", "--no-loadscope-reorder")


@dataclass(frozen=True)
class Part:
    """One run of tests on one database. Those that kill a database's server have it to themselves."""

    database: str
    tests: tuple[str, ...]
    options: tuple[str, ...] = ()
    durable: bool = False

    def run(self, told: Path, seed: int) -> int:
        command = [*PYTEST, *self.options, "--told", str(told), "-p", "randomly", f"--randomly-seed={seed}"]
        command += [f"--hypothesis-seed={seed}", *self.tests]
        here = {**os.environ, "RNG_SEED": str(seed), "DURABLE": "1" if self.durable else "0"}
        if self.database == POSTGRESQL:
            command = ["tests/tools/with-postgres", *command]
        else:
            here.pop("DATABASE_URL", None)
        return subprocess.run(command, cwd=ROOT, env=here, check=False).returncode


@dataclass(frozen=True)
class Row:
    proof: Proof
    database: str
    reached: int
    words: str
    seconds: float
    fault: str

    @property
    def is_reached(self) -> bool:
        return not self.fault and self.reached >= self.proof.asked_on(self.database)


def parts(proofs: Iterable[Proof]) -> list[Part]:
    found = []
    for database in (SQLITE, POSTGRESQL):
        tests = {test for proof in proofs if database in proof.databases for test in proof.tests}
        on_two = tuple(sorted(_outermost(tests - {SWEEP, KILLS})))
        if on_two:
            found.append(Part(database, on_two, TWO))
        if SWEEP in tests:
            options = ("-p", "tests.tools.every_action", "-m", "not full and not browser")
            found.append(Part(database, GIVE_ROWS, options))
        if KILLS in tests:
            found.append(Part(database, (KILLS,), durable=True))
    return found


def _outermost(tests: set[str]) -> set[str]:
    return {test for test in tests if not any(is_below(test, other) for other in tests - {test})}


def is_below(test: str, path: str) -> bool:
    """Whether a test's id lies in this file, folder or test."""
    return test == path or test.startswith((f"{path}/", f"{path}::", f"{path}["))


def row_of(proof: Proof, database: str, told: list[dict]) -> Row:
    here = [line for line in told if any(is_below(line["test"], path) for path in proof.tests)]
    own = [value for line in here if line["outcome"] == "passed" for value in line["reached"]]
    own = [(number, words) for name, number, words in own if name == proof.name]
    passed = sum(line["outcome"] == "passed" for line in here)
    reached = sum(number for number, _ in own) if proof.told else passed
    words = "; ".join(dict.fromkeys(words for _, words in own)) if own else proof.unit
    return Row(proof, database, reached, words, sum(line["seconds"] for line in here), fault_in(here))


def fault_in(lines: list[dict]) -> str:
    failed = [line["test"].rpartition("::")[2] for line in lines if line["outcome"] == "failed"]
    if failed:
        return f"{len(failed)} failed: {failed[0]}"
    skipped = [line["test"].rpartition("::")[2] for line in lines if line["outcome"] == "skipped"]
    if unexcused := [name for name in skipped if name not in EXCUSED]:
        return f"{len(unexcused)} skipped: {unexcused[0]}"
    return "" if lines else "no test was run"


def path_of(number: int, folder: Path) -> Path:
    return folder / f"{number}.jsonl"


def run_all(found: list[Part], folder: Path, seed: int) -> list[tuple[Part, int]]:
    """Each part with its exit status: those for two workers one after the other, the rest two at a time."""

    def run(number: int) -> int:
        part = found[number]
        print(f"== {part.database}: {' '.join(part.tests)[:100]}", flush=True)
        began, status = time.monotonic(), part.run(path_of(number, folder), seed)
        print(f"== {part.database}: {part.tests[0]} … took {time.monotonic() - began:.0f} s", flush=True)
        return status

    wide = [number for number, part in enumerate(found) if part.options == TWO]
    narrow = [number for number in range(len(found)) if number not in wide]
    statuses = {number: run(number) for number in wide}
    with ThreadPoolExecutor(max_workers=2) as lanes:
        statuses |= zip(narrow, lanes.map(run, narrow), strict=True)
    return [(part, statuses[number]) for number, part in enumerate(found)]


def table(rows: list[Row], *, seed: int, minutes: float, failures: list[str]) -> str:
    run = {row.proof.name for row in rows}
    lines = [
        "# What is proved, and how often it was tried",
        "",
        f"Written by `make prove`, on commit {commit()} with seed {seed}, in {minutes:.0f} minutes on "
        f"{os.cpu_count()} processors. `make test` runs the short forms of the same tests; `make prove-mutants`",
        "plants a fault for each and sees it noticed. A test that failed or was skipped leaves its row unreached, and "
        "the run fails. Which tests tell which row: `tests/tools/proofs.py`.",
        *(
            []
            if len(run) == len(PROOFS)
            else ["", f"**Of {len(PROOFS)} proofs only these {len(run)} were run.**"]
        ),
        "",
        "| name | what is shown | asked | reached | database | seconds | seed |",
        "| --- | --- | --- | --- | --- | --- | --- |",
        *(line_of(row, seed=seed) for row in rows),
        *(f"\nFailed: {failure}." for failure in failures),
    ]
    return "\n".join(lines) + "\n"


def line_of(row: Row, *, seed: int) -> str:
    reached = f"{row.reached:,} {row.words}" + (f" ({row.fault})" if row.fault else "")
    cells = [
        row.proof.name,
        row.proof.shown,
        f"{row.proof.asked_on(row.database):,} {row.proof.unit}",
        reached if row.is_reached else f"**not reached**: {reached}",
        row.database,
        f"{row.seconds:.0f}",
        str(seed) if row.proof.random else "",
    ]
    return f"| {' | '.join(cells)} |"


def commit() -> str:
    def git(*words: str) -> str:
        return subprocess.run(
            ["git", *words], cwd=ROOT, capture_output=True, text=True, check=False
        ).stdout.strip()

    changed = git("status", "--porcelain", "--untracked-files=no", "--", ".", ":!docs/proof.md")
    return (git("rev-parse", "--short", "HEAD") or "unknown") + (" with changes" if changed else "")


def read(path: Path) -> list[dict]:
    return [json.loads(line) for line in path.read_text().splitlines()] if path.exists() else []


def main() -> int:
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("--only", nargs="+", metavar="NAME", choices=[proof.name for proof in PROOFS])
    words.add_argument("--seed", type=int, default=secrets.randbelow(2**32))
    words.add_argument("--output", type=Path, default=DOCUMENT)
    asked = words.parse_args()
    proofs = [proof for proof in PROOFS if not asked.only or proof.name in asked.only]
    began, failures, told = time.monotonic(), [], {SQLITE: [], POSTGRESQL: []}
    with tempfile.TemporaryDirectory() as folder:
        for number, (part, status) in enumerate(run_all(parts(proofs), Path(folder), asked.seed)):
            if status:
                failures.append(f"{part.database}, {part.tests[0]} and others: the lines above say what")
            told[part.database] += read(path_of(number, Path(folder)))
    rows = [row_of(proof, each, told[each]) for proof in proofs for each in proof.databases]
    minutes = (time.monotonic() - began) / 60
    text = table(rows, seed=asked.seed, minutes=minutes, failures=failures)
    if asked.only and asked.output == DOCUMENT:
        print(text)
    else:
        asked.output.parent.mkdir(exist_ok=True)
        asked.output.write_text(text, encoding="utf-8")
    missed = [f"{row.proof.name} on {row.database}" for row in rows if not row.is_reached]
    print(f"{len(rows) - len(missed)} of {len(rows)} rows reached, seed {asked.seed}.")
    for name in missed:
        print(f"not reached: {name}")
    return 1 if missed or failures else 0


if __name__ == "__main__":
    sys.exit(main())
