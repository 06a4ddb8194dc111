"""A database of an earlier version comes to the latest one with every row that it had."""

import importlib
from pathlib import Path

import pytest
from django.apps import apps
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from factory.django import DjangoModelFactory

ROOMS = {config.label for config in apps.get_app_configs() if config.name.startswith("labcases.")}
FACTORIES = Path(__file__).resolve().parent.parent / "factories"


def one_row_of_everything():
    """Every model's factory once; what it needs comes with it."""
    for path in sorted(FACTORIES.glob("*.py")):
        importlib.import_module(f"tests.factories.{path.stem}")
    waiting, made = [DjangoModelFactory], set()
    while waiting:
        factory = waiting.pop()
        waiting += factory.__subclasses__()
        model = factory._meta.model if not factory._meta.abstract else None
        if model and model not in made:
            made.add(model)
            factory.create()


def states():
    """Every earlier state of every room: its nodes but the last, in the order in which they landed."""
    graph = MigrationExecutor(connection).loader.graph
    for leaf in sorted(node for node in graph.leaf_nodes() if node[0] in ROOMS):
        own = [node for node in graph.forwards_plan(leaf) if node[0] == leaf[0]]
        yield from own[:-1]


def rows():
    """Every row of every table of ours that is there now, by column."""
    found = {}
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            if table.partition("_")[0] in ROOMS:
                cursor.execute(f'SELECT * FROM "{table}" ORDER BY 1')
                names = [column[0] for column in cursor.description]
                found[table] = [dict(zip(names, row, strict=True)) for row in cursor.fetchall()]
    return found


def lost(before, after):
    """Rows, or values in them, that were there and no longer are."""
    return [
        (table, column, old[column])
        for table in before
        for old, new in zip(before[table], after.get(table, []), strict=True)
        for column in old
        if old[column] != new.get(column)
    ]


def from_the_states(chosen):
    one_row_of_everything()
    latest = MigrationExecutor(connection).loader.graph.leaf_nodes()
    assert all(rows().values())
    tried = 0
    for state in chosen:
        try:
            MigrationExecutor(connection).migrate([state])
            earlier = rows()
        finally:
            MigrationExecutor(connection).migrate(latest)
        assert lost(earlier, rows()) == [], f"from {state}"
        tried += 1
    assert tried >= 1


@pytest.mark.django_db(transaction=True)
def test_no_row_is_lost_on_the_way_from_an_earlier_state(rng):
    every = list(states())
    from_the_states([every[0], *rng.sample(every[1:], 3)])


@pytest.mark.full
@pytest.mark.django_db(transaction=True)
def test_no_row_is_lost_on_the_way_from_any_earlier_state():
    from_the_states(list(states()))


def test_a_lost_value_is_seen():
    before = {"cases_case": [{"id": 1, "number": "26-00417-D"}]}
    assert lost(before, {"cases_case": [{"id": 1, "number": "26-00417-D", "new": 0}]}) == []
    assert lost(before, {"cases_case": [{"id": 1, "number": ""}]}) == [("cases_case", "number", "26-00417-D")]
    with pytest.raises(ValueError, match="shorter"):
        lost(before, {"cases_case": []})
