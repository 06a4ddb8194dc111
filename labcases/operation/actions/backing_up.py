import datetime
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from django.db import connections

from labcases.operation.archive.manifest import Manifest
from labcases.operation.archive.reading import opened
from labcases.operation.archive.writing import ArchiveWriter
from labcases.operation.landed import LEFT_OUT, LandedState, columns, state_of_archive, state_of_database
from labcases.operation.refusals import ArchiveRefused, DatabaseRefused
from labcases.operation.snapshot import snapshot
from labcases.operation.stored_files import blocks_of, places_in_archive, places_in_database
from labcases.prosthodontics.errors import one_line

ROWS_AT_ONCE = 200


def write_backup(path: Path, *, now: datetime.datetime, using: str = "default") -> Manifest:
    """One archive of one moment of the database and of the files that its rows name, for its owner's eyes alone, at
    a path where nothing is yet.

    It has its name only after it was read back whole; a refusal leaves nothing behind.
    """
    with _new_file(path) as (file, part):
        with snapshot(using, beside=path.parent) as alias:
            manifest = _write_rows(file, alias=alias, now=now)
        file.flush()
        verify_backup(part)
    return manifest


def verify_backup(path: Path) -> Manifest:
    """Check every byte and every row of an archive, and that this program has a table for each."""
    with opened(path) as archive:
        places_in_archive(archive, state_of_archive(archive.manifest))
        return archive.manifest


def _write_rows(file: BinaryIO, *, alias: str, now: datetime.datetime) -> Manifest:
    connection = connections[alias]
    state = state_of_database(connection)
    if not state.landed:
        raise DatabaseRefused("The database has no tables yet; there is nothing to back up.")
    writer = ArchiveWriter(file, now=now)
    try:
        _add_all(writer, state, alias)
    except BaseException:
        writer.give_up()
        raise
    left_out = sorted(LEFT_OUT & state.models.keys())
    return writer.finish(database=connection.vendor, landed=state.landed, left_out=left_out)


def _add_all(writer: ArchiveWriter, state: LandedState, alias: str) -> None:
    for label, model in state.kept.items():
        kept = tuple(columns(model))
        rows = model._base_manager.using(alias).order_by("pk").values_list(*(column.name for column in kept))
        writer.add(label, columns=kept, rows=rows.iterator(chunk_size=ROWS_AT_ONCE))
    for name, storage in sorted(places_in_database(state, using=alias).items(), key=lambda place: place[0]):
        writer.add_file(name, blocks_of(name, storage))


@contextmanager
def _new_file(path: Path) -> Iterator[tuple[BinaryIO, Path]]:
    """A file that takes its name when the block has succeeded, and never that of another file."""
    if os.path.lexists(path):
        raise _exists(path)
    try:
        descriptor, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
        try:
            with open(descriptor, "w+b") as file:
                yield file, Path(name)
                file.flush()
                os.fsync(descriptor)
            _give_name(Path(name), path)
        finally:
            Path(name).unlink(missing_ok=True)
    except OSError as error:
        raise ArchiveRefused(one_line(f"{path} can't be written: {error.strerror or error}.")) from error


def _give_name(part: Path, path: Path) -> None:
    try:
        # A link fails where a name is taken; a rename would overwrite it.
        os.link(part, path)
    except FileExistsError:
        raise _exists(path) from None
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


def _exists(path: Path) -> ArchiveRefused:
    return ArchiveRefused(one_line(f"{path} exists already and is left as it is; choose another name."))
