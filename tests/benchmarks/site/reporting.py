"""One page of tables from what was measured; every figure on it is from that run."""

import datetime
import os
import platform
from typing import Any

Found = dict[str, Any]
HEAD = """# How fast the site is

Written by `make bench`, which measured all of it in one run on {day}: {machine}.
Times are milliseconds, median and 95th percentile. Each is measured in turns with its floor, so that a busy moment
meets both; ratios are what to compare between machines. The floor of a page is an empty one: signed in, through all
middleware, the frame with nothing in it. That of a search are the same queries asked of the database driver; that of
a ticket is the renderer alone.
"""


def report(found: dict[int, Found], *, today: datetime.date) -> str:
    machine = (
        f"{os.cpu_count()} processors, Python {platform.python_version()}, PostgreSQL on the same machine"
    )
    parts = [
        HEAD.format(day=today.isoformat(), machine=machine),
        _made(found),
        _pages(found),
        _searches(found),
    ]
    largest = found[max(found)]
    if "papers" in largest:
        parts.append(_papers(largest["papers"]))
    if "crowd" in largest:
        parts.append(_crowd(max(found), largest["crowd"]))
    return "\n".join(parts)


def _table(head: list[str], rows: list[list[str]]) -> str:
    lines = [head, ["---", *["---:"] * (len(head) - 1)], *rows]
    return "".join(f"| {' | '.join(line)} |\n" for line in lines)


def _ms(seconds: float) -> str:
    return f"{seconds * 1000:.1f}"


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
    floor = next(iter(found[largest]["pages"]))
    rows = []
    for name in found[largest]["pages"]:
        one = {size: found[size]["pages"][name] for size in found}
        times = [f"{_ms(one[size]['median'])} / {_ms(one[size]['p95'])}" for size in sorted(found)]
        ratio = one[largest]["median"] / found[largest]["pages"][floor]["median"]
        growth = one[largest]["median"] / one[smallest]["median"]
        weight = one[largest]
        sizes = [f"{weight['bytes'] / 1000:.1f}", f"{weight['first_screen'] / 1000:.1f}"]
        rows.append([name, *times, f"{ratio:.2f}", f"{growth:.2f}", f"{weight['queries']}", *sizes])
    head = ["page", *[f"{size:,} cases" for size in sorted(found)], "of the floor"]
    head += ["growth", "queries", "kB", "kB, first screen"]
    note = (
        "Bytes are compressed; the first screen is the page with every style and script that it asks for.\n"
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


def _papers(papers: dict[str, dict[str, float]]) -> str:
    names = list(papers)
    floors = {names[1]: names[0], names[3]: names[2]}
    rows = []
    for name, times in papers.items():
        floor = papers[floors[name]]["median"] if name in floors else 0
        rows.append([name, _ms(times["median"]), f"{times['median'] / floor:.2f}" if floor else ""])
    return f"## Tickets\n\n{_table(['ticket', 'ms', 'of the line above'], rows)}"


def _crowd(size: int, crowd: dict[str, Any]) -> str:
    alone = crowd["alone"]["finish"]["p95"]
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
    words = f"35 technicians, 5 managers and 10 clinicians at {size:,} cases, each busy every 2 to 8 seconds."
    return f"## Fifty people at once\n\n{words}\n\n{_table(head, rows)}"
