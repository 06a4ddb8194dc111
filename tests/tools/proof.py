"""What a proof reached, told by its test: `proof("path-of-a-case").reached(10_000, "moves")`.

Any run prints it where the test fails or is shown; `pytest --told FILE` also writes every test's outcome there, one
JSON line each, for `make prove` to make its table of. A number counts only if its test passed.
"""

import json
from dataclasses import dataclass
from pathlib import Path

import pytest

PROPERTY = "proof"


@dataclass(frozen=True)
class Proof:
    name: str
    properties: list

    def reached(self, number: int, what: str) -> None:
        print(f"proof {self.name}: {number:,} {what}")  # noqa: T201
        self.properties.append((PROPERTY, (self.name, number, what)))


@pytest.fixture
def proof(request: pytest.FixtureRequest):
    return lambda name: Proof(name, request.node.user_properties)


class Telling:
    """Writes the outcome of each test, in the process that has them all."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.when == "call" or report.outcome != "passed":
            reached = [value for name, value in report.user_properties if name == PROPERTY]
            tell(
                self.path,
                test=report.nodeid,
                outcome=report.outcome,
                seconds=report.duration,
                reached=reached,
            )


def tell(path: Path, **line: object) -> None:
    with path.open("a", encoding="utf-8") as file:
        file.write(json.dumps(line) + "\n")


def add_option(group: pytest.OptionGroup) -> None:
    group.addoption("--told", metavar="FILE", help="write the outcome of every test there, a JSON line each")


def configure(config: pytest.Config) -> None:
    if config.getoption("--told") and not hasattr(config, "workerinput"):
        config.pluginmanager.register(Telling(Path(config.getoption("--told"))))
