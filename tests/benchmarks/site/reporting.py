"""One page of tables from what was measured; every figure on it is from that run."""

import datetime
import os
import platform
from typing import Any

from tests.benchmarks.site.asked import asked
from tests.benchmarks.site.names import ALONE, EMPTY, PAUSE

Found = dict[str, Any]
HEAD = """# How fast the site is

Written by `make bench`, which measured all of it in one run on {day}: {machine}.
Times are milliseconds, median and 95th percentile. Each is measured in turns with its floor, so that a busy moment
meets both; ratios are what to compare between machines. The floor of any page is an empty one: signed in, through all
middleware, the frame with nothing in it. That of the lists of cases is the same fifty rows by the plainest means, one
query and one template with a line for each, without a frame. That of a search are the same queries asked of the
database driver; that of a ticket is the renderer alone.
"""


def report(found: dict[int, Found], *, today: datetime.date) -> str:
    machine = (
        f"{os.cpu_count()} processors, Python {platform.python_version()}, PostgreSQL on the same machine"
    )
    parts = [
        HEAD.format(day=today.isoformat(), machine=machine),
        _asked(found),
        _made(found),
        _pages(found),
        _searches(found),
    ]
    largest = found[max(found)]
    if "looks" in largest:
        parts.append(_looks(largest["looks"]))
    if "paper" in largest:
        parts.append(_papers(largest["paper"], largest["morning"]))
    if "crowd" in largest:
        parts.append(_crowd(max(found), largest["crowd"]))
    return "\n".join(parts)


def _table(head: list[str], rows: list[list[str]]) -> str:
    lines = [head, ["---", *["---:"] * (len(head) - 1)], *rows]
    return "".join(f"| {' | '.join(line)} |\n" for line in lines)


def _ms(seconds: float) -> str:
    return f"{seconds * 1000:.1f}"


def _asked(found: dict[int, Found]) -> str:
    lines = asked(found)
    missed = sum(not line.is_reached for line in lines)
    rows = [
        [
            line.what,
            f"{line.limit:g} {line.unit}",
            f"{line.measured:.2f}",
            "yes" if line.is_reached else "**no**",
        ]
        for line in lines
    ]
    words = f"At {max(found):,} cases unless told otherwise. " + (
        f"**{missed} of {len(lines)} were not reached.**" if missed else f"All {len(lines)} were reached."
    )
    head = ["what", "at most", "measured", "reached"]
    return f"## What is asked, and what was reached\n\n{words}\n\n{_table(head, rows)}"


def _made(found: dict[int, Found]) -> str:
    rows = [
        [
            f"{size:,}",
            f"{one['stages']:,}",
            f"{one['readings']:,}",
            f"{one['made']:.0f}",
            memory(one["memory"]),
        ]
        for size, one in sorted(found.items())
    ]
    head = ["cases", "stages", "readings", "seconds to generate", "MB of each worker after the pages"]
    return f"## Archives\n\n{_table(head, rows)}"


def memory(workers: list[float]) -> str:
    return ", ".join(f"{worker:.0f}" for worker in workers)


def _pages(found: dict[int, Found]) -> str:
    smallest, largest = min(found), max(found)
    rows = []
    for name in found[largest]["pages"]:
        one = {size: found[size]["pages"][name] for size in found}
        times = [f"{_ms(one[size]['median'])} / {_ms(one[size]['p95'])}" for size in sorted(found)]
        ratio = one[largest]["median"] / found[largest]["pages"][EMPTY]["median"]
        growth = one[largest]["median"] / one[smallest]["median"]
        weight = one[largest]
        sizes = [f"{weight['bytes'] / 1000:.1f}", f"{weight['first_screen'] / 1000:.1f}"]
        rows.append([name, *times, f"{ratio:.2f}", f"{growth:.2f}", f"{weight['queries']}", *sizes])
    head = ["page", *[f"{size:,} cases" for size in sorted(found)], "of the empty page"]
    head += ["growth", "queries", "kB", "kB, first screen"]
    note = (
        "Bytes are compressed, the page by gzip, styles and scripts by brotli; the first screen is the page with "
        "every style and script that it asks for.\n"
    )
    return f"## Pages\n\n{_table(head, rows)}\n{note}"


def _searches(found: dict[int, Found]) -> str:
    rows = []
    for name, at_largest in found[max(found)]["searches"].items():
        times = [_ms(found[size]["searches"][name]["database"]) for size in sorted(found)]
        ratio = at_largest["median"] / at_largest["database"]
        rest = [_ms(at_largest["database_p95"]), _ms(at_largest["median"]), f"{ratio:.2f}"]
        rows.append([name, *times, *rest, f"{at_largest['rows']}", f"{at_largest['queries']}"])
    head = ["all cases searched for", *[f"{size:,} cases" for size in sorted(found)]]
    head += ["p95", "with rows made", "of the floor", "rows", "queries"]
    return f"## Searches\n\nIn the database, asked through the driver.\n\n{_table(head, rows)}"


def _looks(looks: dict[str, dict[str, Any]]) -> str:
    rows = [
        [name, f"{one['width']}", f"{one['shift']:.4f}", f"{one['acts']}", f"{one['slowest']:.0f}"]
        for name, one in looks.items()
    ]
    head = ["page", "px wide", "moved by itself", "things done", "slowest answer, ms"]
    words = "The machine's Chromium with its processor slowed four times, in steps of 8 ms as the browser tells it."
    return f"## In a browser\n\n{words}\n\n{_table(head, rows)}"


def _papers(paper: dict[str, dict[str, float]], morning: dict[str, float]) -> str:
    many, one = morning["many"], morning["one worker"]
    rows = [
        ["bare WeasyPrint", _ms(paper["bare"]["median"]), ""],
        [
            "as the site prints it",
            _ms(paper["site"]["median"]),
            f"{paper['site']['median'] / paper['bare']['median']:.2f}",
        ],
        [f"{many} tickets by one worker", _ms(one), ""],
        [
            f"{many} tickets by two workers",
            _ms(morning["two workers"]),
            f"{morning['two workers'] / one:.2f}",
        ],
        ["the first of them to be opened", _ms(morning["the first paper by two"]), ""],
    ]
    return f"## Tickets\n\n{_table(['ticket', 'ms', 'of the line above'], rows)}"


def _crowd(size: int, crowd: dict[str, Any]) -> str:
    alone = crowd[ALONE]["finish"]["p95"]
    rows = []
    for name, one in crowd.items():
        ratio = one["finish"]["p95"] / alone if alone else 0
        finish = [
            f"{one['finishes']}",
            _ms(one["finish"]["median"]),
            _ms(one["finish"]["p95"]),
            f"{ratio:.2f}",
        ]
        pages = [_ms(one["pages"]["median"]), _ms(one["pages"]["p95"])]
        rows.append([name, f"{one['requests']}", f"{one['errors']}", f"{one['conflicts']}", *pages, *finish])
    head = ["who", "requests", "errors", "conflicts", "page", "page p95", "stages finished", "finishing"]
    head += ["finishing p95", "of alone"]
    least, most = PAUSE
    words = (
        f"35 technicians, 5 managers and 10 clinicians at {size:,} cases, each {least:.0f} to {most:.0f} seconds "
        "after their last act, in turns of which every second has a batch print beside it."
    )
    return f"## Fifty people at once\n\n{words}\n\n{_table(head, rows)}"
