"""Plants a fault for each proof in a copy of the tree, and asks whether its tests notice: `make prove-mutants`.

    python -m tests.tools.mutants [NAME OF A PROOF ...]

Exit 1 if a fault was noticed by no test, or could not be planted.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import Queue

from tests.tools.planted import MUTANTS, SWEEP, Mutant

ROOT = Path(__file__).resolve().parent.parent.parent
LEFT_BEHIND = shutil.ignore_patterns(".git", ".venv", "var", "__pycache__", "node_modules")
LONGEST = 1200
LANES = 2


def places(mutant: Mutant, *, root: Path = ROOT) -> int:
    """How often the text that the fault replaces stands in its file; a fault can be planted where it is once."""
    return (root / mutant.file).read_text(encoding="utf-8").count(mutant.text)


def planted(mutant: Mutant, *, root: Path) -> str:
    """Plant the fault; return the file as it was, to put it back."""
    path = root / mutant.file
    whole = path.read_text(encoding="utf-8")
    assert whole.count(mutant.text) == 1, f"{mutant.file} does not hold the text once"
    path.write_text(whole.replace(mutant.text, mutant.replacement), encoding="utf-8")
    return whole


def command(mutant: Mutant) -> list[str]:
    pytest = [sys.executable, "-m", "pytest", "-q", "-x", "--timeout", str(LONGEST)]
    if mutant.tests[0] == SWEEP:
        return [*pytest, "-p", "tests.tools.every_action", *mutant.tests[1:]]
    return [*pytest, "-m", "not full", *mutant.tests]


def outcome(mutant: Mutant, *, root: Path) -> str:
    """ "caught" with the test that failed, or "SURVIVED", or what else came of it."""
    here = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    here["PYTHONDONTWRITEBYTECODE"] = "1"
    ran = subprocess.run(
        command(mutant), cwd=root, env=here, capture_output=True, text=True, timeout=2 * LONGEST, check=False
    )
    if "from pytest-timeout" in ran.stdout:
        return f"NOT TRIED: no answer within {LONGEST} s"
    failed = [
        line
        for line in ran.stdout.splitlines()
        if line.startswith(("FAILED tests/", "ERROR tests/", "WRONG "))
    ]
    if ran.returncode == 1 and failed:
        return f"caught: {failed[0].split(' - ')[0][:160]}"
    if ran.returncode == 0:
        return "SURVIVED"
    return f"NOT TRIED (exit {ran.returncode}): {(ran.stdout + ran.stderr).strip()[-200:]}"


def tried(mutant: Mutant, trees: Queue[Path]) -> bool:
    """Whether the fault was caught; says so as soon as it is known."""
    root, began = trees.get(), time.monotonic()
    whole = planted(mutant, root=root)
    try:
        said = outcome(mutant, root=root)
    finally:
        (root / mutant.file).write_text(whole, encoding="utf-8")
        trees.put(root)
    print(f"{mutant.proof}: {mutant.fault}: {said} ({time.monotonic() - began:.0f} s)", flush=True)
    return said.startswith("caught")


def main() -> int:
    wanted = [mutant for mutant in MUTANTS if not sys.argv[1:] or mutant.proof in sys.argv[1:]]
    with tempfile.TemporaryDirectory() as folder:
        trees: Queue[Path] = Queue()
        for lane in range(LANES):
            root = Path(folder) / f"tree-{lane}"
            shutil.copytree(ROOT, root, ignore=LEFT_BEHIND)
            os.symlink(ROOT / ".venv", root / ".venv")
            trees.put(root)
        with ThreadPoolExecutor(max_workers=LANES) as lanes:
            missed = sum(not caught for caught in lanes.map(lambda mutant: tried(mutant, trees), wanted))
    print(
        f"All {len(wanted)} faults were caught."
        if not missed
        else f"{missed} of {len(wanted)} were not caught."
    )
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
