"""Two pages of a real ticket by WeasyPrint and by Typst, in turns: what each costs and what its PDF offers.
Beside them the whole ticket, as it is printed today.

    make demo                                         or any other database with a specification at hand
    pip install --target FOLDER typst
    PYTHONPATH=FOLDER python -m tests.benchmarks.engines [--rounds 15] [--keep FOLDER]

Typst is no dependency of this project. Processor time of all threads is measured, warm, every round with another
case number, other figures and other drawings, so that no engine finds a page that it has set before. Nothing here is
asserted.
"""

import os
import statistics
import sys
import time
from argparse import ArgumentParser, Namespace
from collections.abc import Callable
from pathlib import Path
from typing import Any

import django

WITHOUT_TYPST = "Typst is missing: pip install --target FOLDER typst, then run this with PYTHONPATH=FOLDER."
WITHOUT_TICKET = "The database at hand has no occlusion rims with sheets at true size: run make demo first."


def milliseconds(act: Callable[[], object]) -> float:
    began = time.process_time()
    act()
    return 1000 * (time.process_time() - began)


def in_turns(engines: dict[str, Any], *, rounds: int) -> dict[str, list[float]]:
    """Each engine once a round, the first round to warm up; the order turns around from round to round."""
    found: dict[str, list[float]] = {name: [] for name in engines}
    for turn in range(rounds + 1):
        for name in sorted(engines, reverse=turn % 2 == 0):
            make_ready, write = engines[name]
            ready = make_ready(turn)
            taken = milliseconds(lambda: write(ready))  # noqa: B023
            if turn:
                found[name].append(taken)
    return found


def report(times: dict[str, list[float]]) -> None:
    middle = {name: statistics.median(taken) for name, taken in times.items()}
    for name, taken in times.items():
        print(
            f"{name:<27} median {middle[name]:7.1f} ms of {len(taken)} ({min(taken):.1f} to {max(taken):.1f}), "
            f"{middle[name] / min(middle.values()):.1f} × the quickest"
        )


def main(given: Namespace) -> None:
    from tests.benchmarks.engines.looking import look
    from tests.benchmarks.engines.printing import engines
    from tests.benchmarks.engines.sheets import a_ticket

    facts = a_ticket()
    if facts is None:
        sys.exit(WITHOUT_TICKET)
    measured = engines(facts)
    report(in_turns(measured, rounds=given.rounds))
    for name, (make_ready, write) in measured.items():
        ready = make_ready(0)
        pdf = write(ready)
        print(f"\n{name}: {len(pdf):,} bytes, twice {'the same' if pdf == write(ready) else 'not the same'}")
        print("\n".join(look(pdf)))
        if given.keep:
            (Path(given.keep) / f"{name.lower().replace(' ', '-')}.pdf").write_bytes(pdf)


if __name__ == "__main__":
    parser = ArgumentParser()
    parser.add_argument("--rounds", type=int, default=15)
    parser.add_argument("--keep", metavar="FOLDER", help="where both PDFs are kept")
    try:
        import typst  # noqa: F401
    except ImportError:
        sys.exit(WITHOUT_TYPST)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "labcases.config.settings")
    os.environ.setdefault("LABCASES_DEBUG", "1")
    django.setup()
    main(parser.parse_args())
