"""A database of before the chain gets one over all that it holds."""

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from labcases.cases.models import Case, Event
from labcases.records.checking import check
from tests.records.told import told_case
from tests.tools.triggers import triggers_in


@pytest.mark.django_db(transaction=True)
def test_what_was_there_before_is_sealed_by_the_last_entry_of_its_case():
    case = told_case()
    latest = [
        node for node in MigrationExecutor(connection).loader.graph.leaf_nodes() if node[0] == "records"
    ]
    try:
        MigrationExecutor(connection).migrate([("records", None)])
        assert triggers_in(connection) == {}
        Event.objects.update(salt="", covers={}, digest="")
        Case.objects.update(log_length=0, log_digest="")
        assert not check(case).is_sound
    finally:
        MigrationExecutor(connection).migrate(latest)
    assert check(case).broken == ""
    last = case.events.get(position=check(case).entries)
    assert sum(len(each["ids"]) for each in last.covers.values()) == check(case).rows
    assert triggers_in(connection)
