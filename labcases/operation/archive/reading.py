"""Reads an archive and believes nothing in it: the seal first, then its shape and sizes, then every row."""

import hashlib
import io
import json
import os
import re
import stat
import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, BinaryIO

from labcases.operation.archive import manifest as manifests
from labcases.operation.archive.manifest import File, Manifest, Table
from labcases.operation.archive.seal import check_seal
from labcases.operation.archive.values import decoded_row
from labcases.operation.refusals import ArchiveRefused
from labcases.prosthodontics.errors import one_line, shown

MOST_MEMBERS = 400_000
LONGEST_LINE = 128 * 1024**2
# Rows pack to a tenth or a twentieth. What claims more than this was made to fill a disk or a memory.
UNPACKED_PER_PACKED = 100
ALWAYS_ALLOWED = 64 * 1024**2
LOCAL_HEADER = 30
A_MEMBER = re.compile(
    rf"manifest\.json|tables/[a-z0-9_]+\.[a-z0-9_]+\.jsonl|files/{manifests.A_FILE.pattern}"
)
BLOCK = 1024**2
WRONG_ZIP = (
    zipfile.BadZipFile,
    zipfile.LargeZipFile,
    zlib.error,
    struct.error,
    EOFError,
    NotImplementedError,
    OverflowError,
    RuntimeError,
    UnicodeError,
    ValueError,
)


class Archive:
    """A sealed archive of sound shape. Its rows are checked against the manifest each time that they are read."""

    def __init__(self, zipped: zipfile.ZipFile, manifest: Manifest) -> None:
        self.zip, self.manifest = zipped, manifest

    def rows(self, table: Table) -> Iterator[list[Any]]:
        """The rows of a table as its columns take them; the last step raises if any byte was not as promised."""
        digest, count = hashlib.sha256(), 0
        with _readable(), io.BufferedReader(self.zip.open(table.member)) as member:
            while line := member.readline(LONGEST_LINE + 1):
                digest.update(line)
                count += 1
                yield _row(table, line, number=count)
        if (count, digest.hexdigest()) != (table.rows, table.sha256):
            raise ArchiveRefused(f"The backup's table {table.label} is not the one its manifest describes.")

    def blocks(self, file: File) -> Iterator[bytes]:
        """The bytes of a file; the last step raises if any of them was not as promised."""
        digest, size = hashlib.sha256(), 0
        with _readable(), self.zip.open(file.member) as member:
            while block := member.read(BLOCK):
                digest.update(block)
                size += len(block)
                yield block
        if (size, digest.hexdigest()) != (file.bytes, file.sha256):
            raise ArchiveRefused(f"The backup's file {file.name} is not the one its manifest describes.")


@contextmanager
def opened(path: Path) -> Iterator[Archive]:
    """The archive at `path`, with every byte and every row of it checked before it is handed out."""
    with _file(path) as file:
        check_seal(file)
        with _readable():
            zipped = zipfile.ZipFile(file)
        with zipped:
            _check_members(zipped, size=file.seek(0, os.SEEK_END))
            with _readable():
                archive = Archive(zipped, manifests.read(zipped.read(manifests.MEMBER)))
            _check_named(archive)
            _check_tables(archive)
            _check_files(archive)
            yield archive


@contextmanager
def _file(path: Path) -> Iterator[BinaryIO]:
    try:
        # Not waiting for a writer, should the name belong to a pipe.
        descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
    except OSError as error:
        raise ArchiveRefused(one_line(f"{path} can't be read: {error.strerror}.")) from error
    if not stat.S_ISREG(os.fstat(descriptor).st_mode):
        os.close(descriptor)
        raise ArchiveRefused(one_line(f"{path} is not a file."))
    with open(descriptor, "rb") as file:
        yield file


@contextmanager
def _readable() -> Iterator[None]:
    try:
        yield
    except WRONG_ZIP as error:
        raise ArchiveRefused(f"The backup can't be read: {one_line(str(error))[:200]}.") from error


def _check_members(zipped: zipfile.ZipFile, *, size: int) -> None:
    infos = zipped.infolist()
    if len(infos) > MOST_MEMBERS:
        raise ArchiveRefused(f"The backup holds {len(infos)} files; {MOST_MEMBERS} at most are read.")
    for info in infos:
        _check_member(info)
    if len({info.filename for info in infos}) != len(infos):
        raise ArchiveRefused("The backup holds one file twice.")
    if manifests.MEMBER not in zipped.NameToInfo:
        raise ArchiveRefused("The backup has no manifest.")
    if zipped.getinfo(manifests.MEMBER).file_size > manifests.LARGEST:
        raise ArchiveRefused("The backup's manifest is larger than any that this program writes.")
    if sum(info.file_size for info in infos) > max(ALWAYS_ALLOWED, UNPACKED_PER_PACKED * size):
        raise ArchiveRefused("The backup claims to unpack to more than its size allows.")
    _check_places(infos)


def _check_member(info: zipfile.ZipInfo) -> None:
    if info.orig_filename != info.filename or not A_MEMBER.fullmatch(info.filename):
        raise ArchiveRefused(f"The backup holds a file that is none of its own: {shown(info.orig_filename)}.")
    if info.compress_type not in {zipfile.ZIP_DEFLATED, zipfile.ZIP_STORED} or info.flag_bits & 0x41:
        raise ArchiveRefused(f"{info.filename} is packed in a way that this program does not write.")


def _check_places(infos: list[zipfile.ZipInfo]) -> None:
    """Each member has bytes of its own: overlapping ones would unpack the same bytes over and over."""
    free = 0
    for info in sorted(infos, key=lambda info: info.header_offset):
        if info.header_offset < free or (free == 0 and info.header_offset != 0):
            raise ArchiveRefused("The backup's files lie over one another.")
        free = info.header_offset + LOCAL_HEADER + len(info.filename) + info.compress_size


def _check_named(archive: Archive) -> None:
    infos = archive.zip.NameToInfo
    promised = {each.member for each in (*archive.manifest.tables, *archive.manifest.files)}
    if (unknown := infos.keys() - promised - {manifests.MEMBER}) or (promised - infos.keys()):
        one = min(unknown or (promised - infos.keys()))
        raise ArchiveRefused(f"The backup's manifest and its files differ: {one}.")


def _check_tables(archive: Archive) -> None:
    infos = archive.zip.NameToInfo
    for table in archive.manifest.tables:
        if infos[table.member].file_size != table.bytes:
            raise ArchiveRefused(f"The backup's table {table.label} is not as large as its manifest says.")
        for _ in archive.rows(table):
            pass


def _check_files(archive: Archive) -> None:
    infos = archive.zip.NameToInfo
    for file in archive.manifest.files:
        if infos[file.member].file_size != file.bytes:
            raise ArchiveRefused(f"The backup's file {file.name} is not as large as its manifest says.")
        for _ in archive.blocks(file):
            pass


def _row(table: Table, line: bytes, *, number: int) -> list[Any]:
    try:
        if len(line) > LONGEST_LINE or not line.endswith(b"\n"):
            raise ValueError("its line does not end")
        row = json.loads(line, parse_constant=_no_number)
        if not isinstance(row, list):
            raise ValueError("it is not a list")
        return decoded_row(table.kinds, row)
    except (ValueError, RecursionError) as error:
        why = one_line(str(error))[:200]
        raise ArchiveRefused(f"Row {number} of {table.label} in the backup can't be read: {why}.") from error


def _no_number(name: str) -> None:
    raise ValueError(f"{name} is no number")
