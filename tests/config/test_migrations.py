import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

OURS = {config.label for config in apps.get_app_configs() if config.name.startswith("labcases.")}


@pytest.mark.django_db
def test_the_models_and_their_migrations_agree(capsys):
    call_command("makemigrations", check_changes=True, dry_run=True, verbosity=1)


@pytest.mark.django_db(transaction=True)
def test_every_migration_can_be_undone_and_done_again():
    executor = MigrationExecutor(connection)
    latest = [node for node in executor.loader.graph.leaf_nodes() if node[0] in OURS]
    assert latest
    try:
        executor.migrate([(label, None) for label, _ in latest])
        ours = {model._meta.db_table for model in apps.get_models() if model._meta.app_label in OURS}
        assert ours.isdisjoint(connection.introspection.table_names())
    finally:
        # All there are: what others built on ours was undone with them.
        graph = MigrationExecutor(connection).loader.graph
        MigrationExecutor(connection).migrate(graph.leaf_nodes())
    assert ours <= set(connection.introspection.table_names())
