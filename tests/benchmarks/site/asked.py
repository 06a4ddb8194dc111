"""What is asked of the site at the largest size, and whether this run reached it."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from tests.benchmarks.site.names import ALONE, BESIDE, CROWD, EMPTY, SAME_ROWS

Found = dict[str, Any]
LISTS = ("cases, open", "cases, all", "cases, all, the oldest page")
GROWING = (*LISTS, "bench sheet", "case, open")
SELECTIVE = (
    "number",
    "patient's code",
    "patient's code with a slip",
    "a practice that sends little",
    "nothing",
)
COMMON = (
    "a practice that sends much",
    "prescriber",
    "common: part of nearly every practice's name",
    "two letters",
)
QUERIES, FLOOR, GROWTH, FIRST_SCREEN = 12, 2.5, 1.15, 60
# The browser counts what nobody could see; from a hundredth on it calls a page one that stays where it is.
STILL = 0.01


@dataclass(frozen=True)
class Asked:
    what: str
    limit: float
    measured: float
    unit: str = ""

    @property
    def is_reached(self) -> bool:
        return self.measured <= self.limit


def asked(found: dict[int, Found]) -> list[Asked]:
    return [*_of_pages(found), *_of_searches(found[max(found)]), *_of_the_rest(found)]


def _of_pages(found: dict[int, Found]) -> Iterator[Asked]:
    smallest, pages = found[min(found)]["pages"], found[max(found)]["pages"]
    rows = pages[SAME_ROWS]["median"]
    for name in LISTS:
        yield Asked(f"{name}: times the same fifty rows, bare", FLOOR, pages[name]["median"] / rows)
    for name in GROWING:
        growth = pages[name]["median"] / smallest[name]["median"]
        yield Asked(f"{name}: growth from {min(found):,} to {max(found):,} cases", GROWTH, growth)
    most = max(page["queries"] for page in pages.values())
    yield Asked("queries of any page", QUERIES, most)
    more = max(pages[name]["queries"] - smallest[name]["queries"] for name in pages)
    yield Asked(f"queries more of any page than at {min(found):,} cases", 0, more)
    heaviest = max(pages[name]["first_screen"] for name in pages if name != EMPTY and "PDF" not in name)
    yield Asked("first screen of any page, compressed", FIRST_SCREEN, heaviest / 1000, "kB")


def _of_searches(largest: Found) -> Iterator[Asked]:
    for names, limit in ((SELECTIVE, 5), (COMMON, 15)):
        for name in names:
            yield Asked(
                f"search, {name}: in the database", limit, largest["searches"][name]["database"] * 1000, "ms"
            )


def _of_the_rest(found: dict[int, Found]) -> Iterator[Asked]:
    largest = found[max(found)]
    if "looks" in largest:
        looks = largest["looks"].values()
        yield Asked("any page moves by itself (layout shift)", STILL, max(look["shift"] for look in looks))
        slowest = max(look["slowest"] for look in looks)
        yield Asked("from a press to the next picture, processor slowed 4 times", 100, slowest, "ms")
    if "paper" in largest:
        paper, morning = largest["paper"], largest["morning"]
        yield Asked(
            "a ticket: times the bare renderer", 1.3, paper["site"]["median"] / paper["bare"]["median"]
        )
        shared = morning["two workers"] / morning["one worker"]
        yield Asked(f"{morning['many']} tickets by two workers: times one worker", 0.6, shared)
    if "crowd" in largest:
        crowd = largest["crowd"]
        alone, beside = (crowd[name]["finish"]["p95"] for name in (ALONE, BESIDE))
        among = crowd[CROWD]["finish"]["p95"]
        yield Asked("errors that fifty people met", 0, sum(one["errors"] for one in crowd.values()))
        yield Asked("finishing a stage among fifty people, p95: times alone", 3, among / alone)
        yield Asked("the same beside a batch print: times without one", 1.2, beside / among)
    yield Asked(f"{max(found):,} cases generated", 180, largest["made"], "s")
