from collections.abc import Iterator
from itertools import zip_longest
from typing import Any

from django.apps import apps
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import Error, connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.exceptions import IrreversibleError
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder
from django.db.models import Field, JSONField, Model, Value

from labcases.operation.archive.manifest import Table
from labcases.operation.archive.reading import Archive
from labcases.operation.archive.values import alike
from labcases.operation.landed import (
    FILLED_BY_MIGRATING,
    LandedState,
    state_of_archive,
    state_of_database,
    stored_fields,
)
from labcases.operation.refusals import DatabaseRefused, first_line
from labcases.operation.stored_files import places_in_archive, put_back

ROWS_AT_ONCE = 200
BYTES_AT_ONCE = 16 * 1024**2


def restore_backup(archive: Archive, *, using: str = "default", replace: bool = False) -> None:
    """Put an archive's rows into an empty database, which is then as it was and up to date; or change nothing.

    With `replace` a database that holds rows loses them; files in the storage are never taken away or written over.
    Everything happens in one transaction, and files that were put there for nothing go again.
    """
    state, connection = state_of_archive(archive.manifest), connections[using]
    # SQLite can change no table while it checks keys, and can't stop checking inside a transaction.
    with (
        put_back(archive, places_in_archive(archive, state)),
        connection.constraint_checks_disabled(),
        transaction.atomic(using=using, durable=True),
    ):
        _make_room(connection, state, replace=replace)
        for table in archive.manifest.tables:
            _load(archive, table, model=state.models[table.label], using=using)
        connection.check_constraints()
        for table in archive.manifest.tables:
            _compare(archive, table, model=state.models[table.label], using=using)
        call_command("migrate", database=using, interactive=False, verbosity=0, skip_checks=True)
        connection.check_constraints()
        _continue_numbering(connection)


def rows_in(state: LandedState, *, using: str) -> int:
    """How many rows people have put into a database; what migrating fills in by itself is not counted."""
    counted = (model for label, model in state.kept.items() if label not in FILLED_BY_MIGRATING)
    return sum(model._base_manager.using(using).count() for model in counted)


def _make_room(connection: BaseDatabaseWrapper, state: LandedState, *, replace: bool) -> None:
    """Leave the database with the archive's tables and no row in any of them."""
    present = state_of_database(connection)
    rows = rows_in(present, using=connection.alias)
    if rows and not replace:
        raise DatabaseRefused(
            f"The database is not empty ({rows} rows): restore into an empty one, "
            "or say --replace to lose what it holds."
        )
    if present.landed == state.landed and not rows:
        for label in FILLED_BY_MIGRATING & state.models.keys():
            state.models[label]._base_manager.using(connection.alias).all().delete()
        return
    _undo(connection, present)
    MigrationExecutor(connection).migrate(state.last)
    # Migrating leaves some keys of PostgreSQL checked at once; rows that point at one another need them checked late.
    connection.check_constraints()


def _undo(connection: BaseDatabaseWrapper, present: LandedState) -> None:
    """Back to no table at all, by the migrations themselves: they know the triggers and functions they made.

    Applications from elsewhere that ours do not build on may have migrations without a way back; they have
    nothing but tables, which are dropped.
    """
    foreign = present.apps - present.apps_needed_by(_our_apps())
    _drop(connection, present, foreign)
    try:
        MigrationExecutor(connection).migrate(sorted((app, None) for app in present.apps - foreign))
    except IrreversibleError as error:
        raise DatabaseRefused(
            "The tables of the database can't be taken back; make a new database and restore into that."
        ) from error


def _our_apps() -> set[str]:
    return {config.label for config in apps.get_app_configs() if config.name.startswith("labcases.")}


def _drop(connection: BaseDatabaseWrapper, present: LandedState, labels: set[str]) -> None:
    with connection.schema_editor() as editor:
        for model in present.models.values():
            if model._meta.app_label in labels and not model._meta.auto_created:
                editor.delete_model(model)
    recorder = MigrationRecorder(connection)
    for app, name in present.landed:
        if app in labels:
            recorder.record_unapplied(app, name)


def _load(archive: Archive, table: Table, *, model: type[Model], using: str) -> None:
    fields = _fields(model, table)
    for field in fields:
        # These would write today's date over the one that the row had.
        field.auto_now = field.auto_now_add = False
    number = 0
    for batch in _batches(archive.rows(table)):
        made = [model(**_values(fields, row)) for row in batch]
        try:
            model._base_manager.using(using).bulk_create(made)
        except (Error, ValueError, UnicodeError) as error:
            first, last = number + 1, number + len(batch)
            raise DatabaseRefused(
                f"The database does not take rows {first} to {last} of {table.label}: {first_line(error)}"
            ) from error
        number += len(batch)


def _fields(model: type[Model], table: Table) -> list[Field]:
    named = {field.attname: field for field in stored_fields(model)}
    return [named[column.name] for column in table.columns]


def _values(fields: list[Field], row: list[Any]) -> dict[str, Any]:
    return {field.attname: _value(field, value) for field, value in zip(fields, row, strict=True)}


def _value(field: Field, value: Any) -> Any:
    # Where a column must hold something, nothing can only have been JSON's null.
    if value is None and isinstance(field, JSONField) and not field.null:
        return Value(None, JSONField())
    return value


def _batches(rows: Iterator[list[Any]]) -> Iterator[list[list[Any]]]:
    """Few enough rows to be held at once: printed papers make a row large."""
    batch, size = [], 0
    for row in rows:
        batch.append(row)
        size += sum(len(value) for value in row if isinstance(value, bytes | str))
        if len(batch) == ROWS_AT_ONCE or size >= BYTES_AT_ONCE:
            yield batch
            batch, size = [], 0
    if batch:
        yield batch


def _compare(archive: Archive, table: Table, *, model: type[Model], using: str) -> None:
    """Read back what was written. A row that is missing, one too many or other than the archive's ends it."""
    names = [column.name for column in table.columns]
    stored = model._base_manager.using(using).order_by("pk").values_list(*names)
    pairs = zip_longest(archive.rows(table), stored.iterator(chunk_size=ROWS_AT_ONCE))
    for number, (row, found) in enumerate(pairs, 1):
        if row is None or found is None or not alike(row, found):
            raise DatabaseRefused(f"Row {number} of {table.label} came back from the database as another.")


def _continue_numbering(connection: BaseDatabaseWrapper) -> None:
    """PostgreSQL counts keys apart from the rows; the next row must not take a key that was restored."""
    models = apps.get_models(include_auto_created=True)
    statements = connection.ops.sequence_reset_sql(no_style(), models)
    if statements:
        with connection.schema_editor() as editor:
            for statement in statements:
                editor.execute(statement, params=None)
