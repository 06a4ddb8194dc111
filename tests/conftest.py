"""Options, profiles and fixtures that all tests share."""

import os
import random
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings as django_settings
from hypothesis import HealthCheck, settings

from tests.tools import proof as proofs
from tests.tools.loopback import keep_to_loopback
from tests.tools.proof import proof  # noqa: F401
from tests.tools.triggers import let_tests_flush

keep_to_loopback()
let_tests_flush()

# A failure prints the blob that repeats it; nothing is kept between runs, so that every run looks anew.
settings.register_profile(
    "fast",
    deadline=None,
    print_blob=True,
    database=None,
    derandomize=False,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile("full", settings.get_profile("fast"), max_examples=2_000)

# Files of half a minute and more, the longest first.
LONG = (
    "tests/security/forms/",
    "tests/browser/test_every_page.py",
    "tests/cases/test_path_machine.py",
    "tests/pages/test_permissions.py",
    "tests/operation/actions/",
    "tests/security/test_canaries.py",
    "tests/browser/test_whole_way.py",
    "tests/house/test_contracts_bite.py",
    "tests/reliability/",
    "tests/prosthodontics/outline/test_random_casts.py",
    "tests/pages/test_in_german.py",
    "tests/pages/test_every_word_is_marked.py",
    "tests/operation/test_ending.py",
    "tests/demo/",
)
DATABASE_FIXTURES = {"db", "transactional_db", "django_db_reset_sequences", "live_server", "admin_user"}


def pytest_addoption(parser: pytest.Parser) -> None:
    group = parser.getgroup("labcases")
    group.addoption("--full", action="store_true", help="also run the long forms of the proofs")
    group.addoption(
        "--only-database", action="store_true", help="leave out what a second database cannot change"
    )
    proofs.add_option(group)


def pytest_configure(config: pytest.Config) -> None:
    settings.load_profile("full" if config.getoption("--full") else "fast")
    proofs.configure(config)


def pytest_report_header(config: pytest.Config) -> str:
    engine = django_settings.DATABASES["default"]["ENGINE"].rpartition(".")[2]
    return f"database: {engine}; proofs: {'full' if config.getoption('--full') else 'fast'}"


# Folders whose tests share what is dear to make: one worker gets all of them.
TOGETHER = ("tests/security/forms/",)


def unit_of(nodeid: str) -> str:
    """What one worker gets as a whole: the file of a test, or its folder."""
    folders = (folder for folder in TOGETHER if nodeid.startswith(folder))
    return next(folders, nodeid.partition("::")[0])


def pytest_xdist_make_scheduler(config: pytest.Config, log: object) -> object | None:
    from xdist.scheduler import LoadFileScheduling

    class ByFileOrFolder(LoadFileScheduling):
        def _split_scope(self, nodeid: str) -> str:
            return unit_of(nodeid)

    return ByFileOrFolder(config, log) if config.getoption("dist") == "loadfile" else None


def touches_database(item: pytest.Item) -> bool:
    if item.get_closest_marker("django_db"):
        return True
    return not DATABASE_FIXTURES.isdisjoint(getattr(item, "fixturenames", ()))


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what was not asked for, and begin with the files that take long, so that none is worked on last."""

    def wanted(item: pytest.Item) -> bool:
        if item.get_closest_marker("short" if config.getoption("--full") else "full"):
            return False
        if not config.getoption("--only-database"):
            return True
        return touches_database(item) and not item.get_closest_marker("one_database")

    left_out = [item for item in items if not wanted(item)]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if wanted(item)]
    items[:] = long_ones_first(items)


def long_ones_first(items: list[pytest.Item]) -> list[pytest.Item]:
    """Long files come first, each with a short one behind it; else the order stays the one that chance gave.

    A worker gets its next file while it still has the last tests of the one before: a long one would wait there.
    """
    units: dict[str, list[pytest.Item]] = {}
    for item in items:
        units.setdefault(unit_of(item.nodeid), []).append(item)
    rank = {unit: number for unit in units for number, start in enumerate(LONG) if unit.startswith(start)}
    long, short = sorted(rank, key=rank.__getitem__), [unit for unit in units if unit not in rank]
    workers = 2
    order: list[str] = []
    while long:
        order += long[:workers] + short[:workers]
        long, short = long[workers:], short[workers:]
    return [item for unit in order + short for item in units[unit]]


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings_parallel_suffix: None, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """SQLite is tested as it is run, as a file with a write-ahead log: in memory no lock is a real one."""
    database = django_settings.DATABASES["default"]
    if database["ENGINE"] == "django.db.backends.sqlite3":
        folder = tmp_path_factory.mktemp("database")
        database.setdefault("TEST", {})["NAME"] = str(folder / "labcases.sqlite3")


@pytest.fixture
def rng(request: pytest.FixtureRequest) -> random.Random:
    """Random numbers for tests that draw their own; a failing test shows the seed, RNG_SEED repeats it."""
    seed = int(os.environ.get("RNG_SEED") or random.SystemRandom().getrandbits(32))
    print(f"RNG_SEED={seed} for {request.node.nodeid}")  # noqa: T201
    return random.Random(seed)


@pytest.fixture(scope="session")
def project_root() -> Path:
    return Path(__file__).resolve().parent.parent


@pytest.fixture(scope="module")
def chromium() -> Iterator[object]:
    """One Chromium for a file of tests.

    Playwright keeps an event loop running in this thread meanwhile, at which Django would refuse to use its
    database; the tests are synchronous, so it need not.
    """
    from tests.tools import browser

    with pytest.MonkeyPatch.context() as patch, browser.chromium() as running:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        yield running


@pytest.fixture
def desk(chromium: object, live_server: object) -> Iterator[object]:
    """`desk.open(width=390, theme="dark", scripts=False)` gives a page on the live server.

    The test fails if any of its pages logged an error, be it from a script or the content policy.
    """
    from tests.tools.browser import Desk

    opened = Desk(chromium, base_url=live_server.url)
    yield opened
    opened.close()
    assert not opened.complaints, "\n".join(opened.complaints)


@pytest.fixture
def page(desk: object) -> object:
    return desk.open()
