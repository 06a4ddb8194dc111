"""Which migrations a database has landed, and what its tables look like at that point.

Rows are read and written through the models of that point, not through today's: so a database can be backed up
before it is brought up to date, and an archive of an earlier day can be loaded before it is.
"""

from collections.abc import Iterable
from functools import cached_property

from django.core.files.storage import Storage
from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.db.models import Field, FileField, Model

from labcases.operation.archive.manifest import Column, Landed, Manifest
from labcases.operation.archive.values import KIND_OF
from labcases.operation.refusals import ArchiveRefused, DatabaseRefused
from labcases.prosthodontics.errors import one_line

# A stolen archive signs nobody in, and what was ended stays so: a session, a used link, a device that was lost.
LEFT_OUT = frozenset(
    {
        "sessions.session",
        "people.session",
        "people.signinlink",
        "people.benchdevice",
        "post.caselink",
        # A position in the log of one server, which means nothing to another.
        "upkeep.lastwrite",
    }
)
# What migrating puts into a database by itself.
FILLED_BY_MIGRATING = frozenset({"contenttypes.contenttype", "auth.permission"})


class LandedState:
    """The tables as a set of landed migrations made them; raises LookupError for one this program does not know."""

    def __init__(self, landed: Landed) -> None:
        self.landed = landed
        self.graph = (loader := MigrationLoader(None)).graph
        if unknown := min(landed - self.graph.nodes.keys(), default=None):
            raise LookupError(f"{unknown[0]} {unknown[1]}")
        needed = {node for each in landed for node in self.graph.forwards_plan(each)}
        if missing := min(needed - landed, default=None):
            raise LookupError(f"{missing[0]} {missing[1]}, which later ones need")
        self.state = loader.project_state(sorted(landed))

    @property
    def last(self) -> list[tuple[str, str]]:
        """The last landed migration of each application, which brings all before it along."""
        followed = {
            parent.key
            for node in self.landed
            for parent in self.graph.node_map[node].parents
            if parent.key[0] == node[0]
        }
        return sorted(self.landed - followed)

    @property
    def apps(self) -> set[str]:
        return {app for app, _ in self.landed}

    def apps_needed_by(self, labels: set[str]) -> set[str]:
        """These applications and those on whose migrations theirs depend."""
        nodes = (node for node in self.landed if node[0] in labels)
        return labels | {app for node in nodes for app, _ in self.graph.forwards_plan(node)}

    @cached_property
    def models(self) -> dict[str, type[Model]]:
        """Every model with a table of its own by its label; sessions too."""
        found = self.state.apps.get_models(include_auto_created=True)
        return {m._meta.label_lower: m for m in found if m._meta.managed and not m._meta.proxy}

    @property
    def kept(self) -> dict[str, type[Model]]:
        return {label: model for label, model in self.models.items() if label not in LEFT_OUT}


def landed_in(connection: BaseDatabaseWrapper) -> Landed:
    return frozenset(MigrationRecorder(connection).applied_migrations())


def state_of_database(connection: BaseDatabaseWrapper) -> LandedState:
    try:
        return LandedState(landed_in(connection))
    except LookupError as error:
        raise DatabaseRefused(
            f"The database and this program are not of one kind: migration {one_line(error.args[0])}. "
            "Use the version of the program that last changed the database."
        ) from error


def state_of_archive(manifest: Manifest) -> LandedState:
    """The state that the archive's rows were of, after a check that this program has tables for all of them."""
    try:
        state = LandedState(manifest.landed)
    except LookupError as error:
        raise ArchiveRefused(
            f"The backup is of another version of this program: migration {one_line(error.args[0])}. "
            "Restore it with that version or a later one."
        ) from error
    tables = {table.label: set(table.columns) for table in manifest.tables}
    expected = {label: set(columns(model)) for label, model in state.kept.items()}
    for label in sorted(tables.keys() | expected.keys()):
        if tables.get(label) != expected.get(label):
            raise ArchiveRefused(f"The backup's table {label} does not fit the migrations that it names.")
    return state


def stored_fields(model: type[Model]) -> list[Field]:
    return [field for field in model._meta.local_concrete_fields if not field.generated]


def columns(model: type[Model]) -> Iterable[Column]:
    return (Column(field.attname, _kind(field, model)) for field in stored_fields(model))


def file_columns(model: type[Model]) -> dict[str, Storage]:
    """The columns of a table that name files, each with the storage in which they lie."""
    return {field.attname: field.storage for field in stored_fields(model) if isinstance(field, FileField)}


def _kind(field: Field, model: type[Model]) -> str:
    own = field
    while isinstance(own, models.ForeignKey):
        own = own.target_field
    kind = KIND_OF.get(own.get_internal_type())
    if kind is None:
        raise DatabaseRefused(f"{model._meta.label}.{field.name} is of a type that a backup can't carry yet.")
    return kind
