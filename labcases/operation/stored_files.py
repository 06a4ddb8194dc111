"""The files beside the rows: which a backup takes along, whether all are there, and putting them back."""

import hashlib
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from django.core.files import File as OpenFile
from django.core.files.storage import Storage
from django.db.models import Model

from labcases.operation.archive.manifest import A_FILE, File
from labcases.operation.archive.reading import Archive
from labcases.operation.landed import LandedState, file_columns
from labcases.operation.refusals import ArchiveRefused, DatabaseRefused
from labcases.prosthodontics.errors import shown

BLOCK = 1024**2
Places = dict[str, Storage]


def places_in_rows(model: type[Model], rows: Iterable[dict[str, str]]) -> Places:
    """The names of files in these rows, each with the storage in which it lies."""
    columns = file_columns(model)
    return {row[name]: storage for row in rows for name, storage in columns.items() if row[name]}


def places_in_database(state: LandedState, *, using: str) -> Places:
    found: Places = {}
    for model in state.kept.values():
        if columns := file_columns(model):
            rows = model._base_manager.using(using).order_by("pk").values(*columns)
            found |= places_in_rows(model, rows.iterator())
    return found


def places_in_archive(archive: Archive, state: LandedState) -> Places:
    """Where the archive's files belong, after a check that its rows name just the files that it holds."""
    found: Places = {}
    for table in archive.manifest.tables:
        model = state.models[table.label]
        if file_columns(model):
            names = [column.name for column in table.columns]
            rows = (dict(zip(names, row, strict=True)) for row in archive.rows(table))
            found |= places_in_rows(model, rows)
    held = {file.name for file in archive.manifest.files}
    if differing := min(held ^ found.keys(), default=""):
        raise ArchiveRefused(f"The backup's rows and its files do not fit each other: {shown(differing)}.")
    return found


def blocks_of(name: str, storage: Storage) -> Iterator[bytes]:
    if not A_FILE.fullmatch(name):
        raise DatabaseRefused(
            f"A row names the file {shown(name)}, which is no name that this program gives."
        )
    try:
        with storage.open(name, "rb") as file:
            while block := file.read(BLOCK):
                yield block
    except FileNotFoundError as error:
        raise DatabaseRefused(
            f"The file {name} is not in its storage, though a row names it. Put it back from an earlier backup first."
        ) from error


@contextmanager
def put_back(archive: Archive, places: Places) -> Iterator[None]:
    """Put the archive's files into their storage; if the block fails, those that were not there are gone again.

    A file that is there already, byte by byte, stays; one that is there with other bytes is never written over.
    """
    written: list[tuple[Storage, str]] = []
    try:
        for file in archive.manifest.files:
            storage = places[file.name]
            if storage.exists(file.name):
                _require_same(file, storage)
                continue
            with _held(archive.blocks(file), file.name) as held:
                written.append((storage, storage.save(file.name, held)))
            _require_same(file, storage)
        yield
    except BaseException:
        for storage, name in written:
            storage.delete(name)
        raise


def _require_same(file: File, storage: Storage) -> None:
    """Read back what lies in the storage; the archive's own bytes were held to the same digest when it was opened."""
    digest = hashlib.sha256()
    for block in blocks_of(file.name, storage):
        digest.update(block)
    if digest.hexdigest() != file.sha256:
        raise DatabaseRefused(
            f"The storage holds another file under the name {file.name}; it is left as it is. "
            "Restore into an empty folder."
        )


@contextmanager
def _held(blocks: Iterable[bytes], name: str) -> Iterator[OpenFile]:
    """A file of an archive as any storage takes it in: some read it by its blocks, some from a place in it."""
    with tempfile.TemporaryFile() as file:
        file.writelines(blocks)
        file.seek(0)
        yield OpenFile(file, name=Path(name).name)
