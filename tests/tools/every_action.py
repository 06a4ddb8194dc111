"""A pytest plugin, `python -m pytest -p tests.tools.every_action`: faults at each statement of every act that writes.

Whatever act a test calls, it is first tried again and again with the test's own arguments while the database fails
before or after each of its statements in turn, and undone; then it is let through. The run fails if an act kept a
half or hid a fault, and names each act that was called by no test, or only in a way that cannot be undone. The tests'
own outcomes say nothing here: they meet more queries.
"""

import copy
import functools
import importlib
import inspect
import os
import pkgutil
import random
import sys
import threading
from collections import Counter
from pathlib import Path

import pytest

# An act is tried as so many tests call it, and where it says very much at so many places, drawn by chance.
CALLS, PLACES = 1, 100
ACTIONS = "actions"
# They write within their caller's transaction, or print in between and keep by an act of their own.
NO_TRANSACTION = frozenset(
    {
        "cases.actions.guards.log",
        "measurements.actions.readings.write_readings",
        "measurements.actions.specifying.reissue",
        "tickets.actions.issuing.issue_for_print",
        "tickets.actions.issuing.issue_ticket",
        "tickets.actions.issuing.issue_tickets",
    }
)


class Trial:
    def __init__(self) -> None:
        self.acts: dict[str, object] = {}
        self.tried: Counter[str] = Counter()
        self.faults, self.wrong = 0, []
        self.seed = int(os.environ.get("RNG_SEED") or random.SystemRandom().getrandbits(32))
        self.rng, self.test, self.seen = random.Random(self.seed), "", set()
        self.busy = False

    def pytest_collection_finish(self, session: pytest.Session) -> None:
        """Once all is imported: put each act's trial in the place of the act, wherever it was imported to."""
        only = session.config.getoption("--act")
        found = [(name, act) for name, act in acts() if name in (only or [name])]
        self.acts = {name: self._on_trial(name, act) for name, act in found}
        by_act = {id(act): self.acts[name] for name, act in found}
        for module in list(sys.modules.values()):
            if module.__name__.partition(".")[0] in ("labcases", "tests"):
                for name, value in list(vars(module).items()):
                    if id(value) in by_act:
                        setattr(module, name, by_act[id(value)])

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtest_setup(self, item: pytest.Item) -> None:
        self.test = item.nodeid

    def _on_trial(self, name: str, act):
        @functools.wraps(act)
        def called(*args, **kwargs):
            if self._is_wanted(name):
                self._try(name, act, args, kwargs)
            return act(*args, **kwargs)

        return called

    def _is_wanted(self, name: str) -> bool:
        from django.db import connection

        first_here = (name, self.test) not in self.seen
        main = threading.current_thread() is threading.main_thread()
        room = self.tried[name] < CALLS and not self.busy
        return main and room and first_here and connection.in_atomic_block and not connection.needs_rollback

    def _try(self, name: str, act, args, kwargs) -> None:
        from tests.reliability.faults import NothingWritten, half_done

        self.busy = True
        try:
            given = copy.deepcopy((args, kwargs))
            faults, wrong = half_done(
                lambda given: act(*given[0], **given[1]), given=given, most=PLACES, rng=self.rng
            )
        except NothingWritten:
            return
        except Exception as refusal:
            # Called in order to be refused, or with what cannot be given twice.
            if not is_refusal(refusal):
                self.wrong.append(f"{name} in {self.test}: {type(refusal).__name__}: {refusal}")
            return
        finally:
            self.busy = False
        self.seen.add((name, self.test))
        self.tried[name] += 1
        self.faults += faults
        self.wrong += [f"{name} in {self.test}: {each}" for each in wrong]

    def untried(self) -> list[str]:
        public = (name for name in self.acts if not name.rpartition(".")[2].startswith("_"))
        return sorted(name for name in public if not self.tried[name])

    @pytest.hookimpl(trylast=True)
    def pytest_sessionfinish(self, session: pytest.Session) -> None:
        session.exitstatus = 1 if self.wrong else 0
        if path := session.config.getoption("--told"):
            words = f"of {len(self.acts)} acts tried, at {self.faults:,} faults"
            if left := self.untried():
                words += f"; called by no test in a way that can be tried: {', '.join(left)}"
            self._tell(Path(path), len(self.acts) - len(self.untried()), words)

    def _tell(self, path: Path, number: int, words: str) -> None:
        from tests.tools.proof import tell

        outcome = "failed" if self.wrong else "passed"
        tell(
            path,
            test="tests/tools/every_action.py",
            outcome=outcome,
            seconds=0.0,
            reached=[("faults-in-every-act", number, words)],
        )

    def pytest_terminal_summary(self, terminalreporter) -> None:
        say = terminalreporter.write_line
        say(
            f"acts tried: {len(self.acts) - len(self.untried())} of {len(self.acts)}; faults: {self.faults:,}; "
            f"seed {self.seed}"
        )
        for line in self.wrong:
            say(f"WRONG {line}")
        for name in self.untried():
            say(f"NOT TRIED {name}")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--act", action="append", metavar="NAME", help="try this act alone")


def acts():
    """Every function of an actions module that is one transaction, by its full name."""
    import labcases

    for found in pkgutil.walk_packages(labcases.__path__, "labcases."):
        if ACTIONS in found.name.split("."):
            module = importlib.import_module(found.name)
            for name, value in sorted(vars(module).items()):
                full = f"{found.name.removeprefix('labcases.')}.{name}"
                if getattr(value, "__module__", "") == found.name and is_act(full, value):
                    yield full, value


def is_act(name: str, value) -> bool:
    """A transaction, or what should be one: whatever is told by whom and when writes."""
    from django.db.transaction import Atomic

    if name in NO_TRANSACTION or not inspect.isfunction(value):
        return False
    told = {"by", "now"} <= set(inspect.signature(value).parameters)
    public = not name.rpartition(".")[2].startswith("_")
    return (told and public) or any(
        isinstance(cell.cell_contents, Atomic) for cell in value.__closure__ or ()
    )


def is_refusal(error: Exception) -> bool:
    from labcases.prosthodontics.errors import LabCasesError

    return isinstance(error, (LabCasesError, TypeError))


def pytest_configure(config: pytest.Config) -> None:
    config.pluginmanager.register(Trial())
