"""Writes an archive: tables one after the other, then files, then the manifest, then the seal."""

import datetime
import hashlib
import json
import zipfile
from collections.abc import Iterable
from typing import Any, BinaryIO

from labcases.operation.archive import manifest as manifests
from labcases.operation.archive.manifest import Column, File, Landed, Manifest, Table, member_of
from labcases.operation.archive.seal import UNSEALED, set_seal
from labcases.operation.archive.values import encoded_row
from labcases.operation.refusals import DatabaseRefused
from labcases.prosthodontics.errors import one_line


class ArchiveWriter:
    """`file` is open for reading and writing, and empty. `finish` makes it an archive."""

    def __init__(self, file: BinaryIO, *, now: datetime.datetime) -> None:
        self.file, self.now = file, now
        self.zip = zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED)
        self.tables: list[Table] = []
        self.files: list[File] = []

    def add(self, label: str, *, columns: Iterable[Column], rows: Iterable[Iterable[Any]]) -> None:
        """One table, row by row; no more than a row of it is held in memory."""
        columns = tuple(columns)
        kinds = [column.kind for column in columns]
        digest, count, size = hashlib.sha256(), 0, 0
        with self.zip.open(self._info(member_of(label)), "w", force_zip64=True) as member:
            for row in rows:
                line = _line(label, kinds, row)
                member.write(line)
                digest.update(line)
                count, size = count + 1, size + len(line)
        self.tables.append(Table(label, columns, count, size, digest.hexdigest()))

    def add_file(self, name: str, blocks: Iterable[bytes]) -> None:
        """One file as it is: pictures are packed already, and what is not packed can't unpack to a disk full."""
        digest, size = hashlib.sha256(), 0
        info = self._info(f"files/{name}")
        info.compress_type = zipfile.ZIP_STORED
        with self.zip.open(info, "w", force_zip64=True) as member:
            for block in blocks:
                member.write(block)
                digest.update(block)
                size += len(block)
        self.files.append(File(name, size, digest.hexdigest()))

    def give_up(self) -> None:
        """Let go of the file, which then is no archive: it has neither manifest nor seal."""
        self.zip.close()

    def finish(self, *, database: str, landed: Landed, left_out: Iterable[str]) -> Manifest:
        manifest = Manifest(
            self.now, database, landed, tuple(self.tables), tuple(left_out), tuple(self.files)
        )
        self.zip.writestr(self._info(manifests.MEMBER), manifests.written(manifest))
        self.zip.comment = UNSEALED
        self.zip.close()
        set_seal(self.file)
        return manifest

    def _info(self, name: str) -> zipfile.ZipInfo:
        utc = self.now.astimezone(datetime.UTC)
        info = zipfile.ZipInfo(name, date_time=utc.timetuple()[:6])
        info.compress_type = zipfile.ZIP_DEFLATED
        info.external_attr = 0o600 << 16
        return info


def _line(label: str, kinds: list[str], row: Iterable[Any]) -> bytes:
    try:
        text = json.dumps(encoded_row(kinds, row), separators=(",", ":"), allow_nan=False)
    except (TypeError, ValueError) as error:
        raise DatabaseRefused(
            f"A row of {label} can't be written down as it is: {one_line(str(error))}."
        ) from error
    return text.encode("ascii") + b"\n"
