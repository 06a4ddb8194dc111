"""Empty databases beside the one under test, a database with a row in every table, and what a database holds."""

import importlib
import shutil
import uuid
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from django.apps import apps
from django.core.management import call_command
from django.db import connection, connections
from factory.django import DjangoModelFactory

from labcases.operation.landed import LEFT_OUT
from labcases.operation.snapshot import other_database
from tests import factories

# On PostgreSQL every way between the two; a site on SQLite alone has none.
ENGINES = ("sqlite",) if connection.vendor == "sqlite" else ("sqlite", connection.vendor)
# The way to the other engine is gone by the test that compares every table; the rest stay at home.
HERE = ENGINES[-1:]
SQLITE = {
    "ENGINE": "django.db.backends.sqlite3",
    "USER": "",
    "HOST": "",
    "PORT": "",
    "OPTIONS": {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;",
    },
}


@contextmanager
def empty_database(engine: str, *, folder: Path):
    """The alias of a database without a table: a SQLite file, or one of the engine that the tests run on."""
    if engine == "sqlite":
        name = str(folder / f"{uuid.uuid4()}.sqlite3")
        with other_database({**connection.settings_dict, **SQLITE, "NAME": name}) as alias:
            yield alias
        return
    with _beside() as alias:
        yield alias


@contextmanager
def migrated_once(engine: str, *, folder: Path):
    """A migrated database to be copied, which takes a moment, where migrating anew takes seconds: its name."""
    with empty_database(engine, folder=folder) as alias:
        connections[migrated(alias)].close()
        yield connections[alias].settings_dict["NAME"]


@contextmanager
def copied_database(engine: str, original: str, *, folder: Path):
    """The alias of a copy of what `migrated_once` made."""
    if engine == "sqlite":
        name = shutil.copy(original, folder / f"{uuid.uuid4()}.sqlite3")
        with other_database({**connection.settings_dict, **SQLITE, "NAME": str(name)}) as alias:
            yield alias
        return
    with _beside(template=original) as alias:
        yield alias


@contextmanager
def _beside(template: str = "template1"):
    name = f"beside_{uuid.uuid4().hex}"
    _say(f"CREATE DATABASE {name} TEMPLATE {template}")
    try:
        with other_database({**connection.settings_dict, "NAME": name}) as alias:
            yield alias
    finally:
        _say(f"DROP DATABASE {name}")


def _say(statement: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(statement)


def migrated(alias: str) -> str:
    call_command("migrate", database=alias, verbosity=0, interactive=False, skip_checks=True)
    return alias


def kept_models():
    found = apps.get_models(include_auto_created=True)
    return [model for model in found if model._meta.managed and model._meta.label_lower not in LEFT_OUT]


def rows_of(alias: str, *models) -> dict[str, list[tuple]]:
    """Every row of every table that a backup keeps, as plain values in the order of their keys."""
    return {
        model._meta.label_lower: [
            _plain(row) for row in model._base_manager.using(alias).order_by("pk").values_list()
        ]
        for model in models or kept_models()
    }


def _plain(row: tuple) -> tuple:
    return tuple(bytes(value) if isinstance(value, memoryview) else value for value in row)


def tables(alias: str) -> list[str]:
    return connections[alias].introspection.table_names()


def fill_every_table() -> None:
    """A row at least in each of the project's own tables, by its factory."""
    for path in sorted(Path(factories.__file__).parent.glob("*.py")):
        importlib.import_module(f"tests.factories.{path.stem}")
    by_model = {each._meta.model: each for each in _below(DjangoModelFactory) if each._meta.model}
    for model in apps.get_models():
        if model.__module__.startswith("labcases.") and not model._base_manager.exists():
            by_model[model].create()


def _below(base: type) -> set[type]:
    return {cls for child in base.__subclasses__() for cls in {child} | _below(child)}


def database_at_hand() -> str:
    """Its address, as a program of its own is given it."""
    given = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{given['NAME']}"
    who = quote(given["USER"], safe="")
    if given["PASSWORD"]:
        who += f":{quote(given['PASSWORD'], safe='')}"
    return f"postgres://{who}@{quote(given['HOST'], safe='')}:{given['PORT']}/{given['NAME']}"
