"""What an archive says of itself, read as strictly as anything that comes from outside."""

import datetime
import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from labcases.operation.archive.values import CODECS
from labcases.operation.refusals import ArchiveRefused
from labcases.prosthodontics.errors import shown

FORMAT = "labcases backup"
VERSION = 2
# Format 1 knew no files beside the rows.
VERSIONS_READ = (1, VERSION)
MEMBER = "manifest.json"
LARGEST = 64 * 1024**2
A_LABEL = re.compile(r"[a-z][a-z0-9_]{0,99}\.[a-z][a-z0-9_]{0,99}")
A_NAME = re.compile(r"[A-Za-z0-9_]{1,150}")
A_FILE = re.compile(r"[a-z0-9]{2}/[a-z0-9]{8,64}\.[a-z0-9]{1,8}")
A_DIGEST = re.compile(r"[0-9a-f]{64}")

Landed = frozenset[tuple[str, str]]


@dataclass(frozen=True)
class Column:
    name: str
    kind: str


@dataclass(frozen=True)
class Table:
    """One table as it lies in the archive; `label` is application and model, `bytes` is unpacked."""

    label: str
    columns: tuple[Column, ...]
    rows: int
    bytes: int
    sha256: str

    @property
    def member(self) -> str:
        return member_of(self.label)

    @property
    def kinds(self) -> tuple[str, ...]:
        return tuple(column.kind for column in self.columns)


@dataclass(frozen=True)
class File:
    """One file that a row names, as it lies in the archive."""

    name: str
    bytes: int
    sha256: str

    @property
    def member(self) -> str:
        return f"files/{self.name}"


@dataclass(frozen=True)
class Manifest:
    created_at: datetime.datetime
    database: str
    landed: Landed
    tables: tuple[Table, ...]
    left_out: tuple[str, ...]
    files: tuple[File, ...] = ()

    @property
    def rows(self) -> int:
        return sum(table.rows for table in self.tables)


def member_of(label: str) -> str:
    return f"tables/{label}.jsonl"


def written(manifest: Manifest) -> bytes:
    migrations: dict[str, list[str]] = {}
    for app, name in sorted(manifest.landed):
        migrations.setdefault(app, []).append(name)
    document = {
        "format": FORMAT,
        "version": VERSION,
        "created_at": manifest.created_at.astimezone(datetime.UTC).isoformat(),
        "database": manifest.database,
        "migrations": migrations,
        "tables": [_table_document(table) for table in manifest.tables],
        "files": [{"file": file.name, "bytes": file.bytes, "sha256": file.sha256} for file in manifest.files],
        "left_out": list(manifest.left_out),
    }
    return json.dumps(document, indent=1).encode("ascii")


def _table_document(table: Table) -> dict[str, Any]:
    return {
        "table": table.label,
        "member": table.member,
        "columns": [[column.name, column.kind] for column in table.columns],
        "rows": table.rows,
        "bytes": table.bytes,
        "sha256": table.sha256,
    }


def read(text: bytes) -> Manifest:
    """The manifest in these bytes; anything that is not exactly one raises ArchiveRefused."""
    try:
        document = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise ArchiveRefused("The backup's manifest is not JSON.") from error
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise ArchiveRefused("The archive is no backup of this program.")
    if document.get("version") not in VERSIONS_READ:
        raise ArchiveRefused(
            f"The backup is of format {shown(document.get('version'))}; "
            f"this program reads format {' and '.join(map(str, VERSIONS_READ))}."
        )
    return _manifest(document)


def _manifest(document: dict[str, Any]) -> Manifest:
    tables = tuple(_table(each) for each in _list(document, "tables"))
    if len({table.label for table in tables}) != len(tables):
        raise _refused("tables", "one table is named twice")
    files = () if document["version"] == 1 else tuple(_file(each) for each in _list(document, "files"))
    if len({file.name for file in files}) != len(files):
        raise _refused("files", "one file is named twice")
    return Manifest(
        created_at=_created_at(document),
        database=_text(document, "database", A_NAME.fullmatch),
        landed=_landed(document),
        tables=tables,
        left_out=tuple(_label(each) for each in _list(document, "left_out")),
        files=files,
    )


def _file(document: Any) -> File:
    if not isinstance(document, dict):
        raise _refused("files", "not an object")
    return File(
        name=_text(document, "file", A_FILE.fullmatch),
        bytes=_count(document, "bytes"),
        sha256=_text(document, "sha256", A_DIGEST.fullmatch),
    )


def _table(document: Any) -> Table:
    if not isinstance(document, dict):
        raise _refused("tables", "not an object")
    label = _label(document.get("table"))
    if document.get("member") != member_of(label):
        raise _refused(label, "its member has another name")
    columns = tuple(_column(label, each) for each in _list(document, "columns"))
    if len({column.name for column in columns}) != len(columns):
        raise _refused(label, "one column is named twice")
    return Table(
        label=label,
        columns=columns,
        rows=_count(document, "rows"),
        bytes=_count(document, "bytes"),
        sha256=_text(document, "sha256", A_DIGEST.fullmatch),
    )


def _column(label: str, document: Any) -> Column:
    match document:
        case [str(name), str(kind)] if A_NAME.fullmatch(name) and kind in CODECS:
            return Column(name, kind)
    raise _refused(label, "a column is not a name and a known kind")


def _landed(document: dict[str, Any]) -> Landed:
    found = set()
    migrations = document.get("migrations")
    if not isinstance(migrations, dict):
        raise _refused("migrations", "not an object")
    for app in migrations:
        for name in _list(migrations, app):
            if not A_NAME.fullmatch(app) or not isinstance(name, str) or not A_NAME.fullmatch(name):
                raise _refused("migrations", "not names")
            found.add((app, name))
    return frozenset(found)


def _created_at(document: dict[str, Any]) -> datetime.datetime:
    try:
        moment = datetime.datetime.fromisoformat(document["created_at"])
    except (KeyError, TypeError, ValueError) as error:
        raise _refused("created_at", "not a moment") from error
    if moment.utcoffset() is None:
        raise _refused("created_at", "without a time zone")
    return moment


def _label(value: Any) -> str:
    if not isinstance(value, str) or not A_LABEL.fullmatch(value):
        raise _refused("tables", f"{shown(value)} is no table's name")
    return value


def _list(document: dict[str, Any], field: str) -> list[Any]:
    value = document.get(field)
    if not isinstance(value, list):
        raise _refused(field, "not a list")
    return value


def _count(document: dict[str, Any], field: str) -> int:
    value = document.get(field)
    if type(value) is not int or not 0 <= value < 2**63:
        raise _refused(field, "not a count")
    return value


def _text(document: dict[str, Any], field: str, fits: Callable[[str], Any]) -> str:
    value = document.get(field)
    if not isinstance(value, str) or not fits(value):
        raise _refused(field, f"{shown(value)} is not accepted")
    return value


def _refused(field: str, why: str) -> ArchiveRefused:
    return ArchiveRefused(f"The backup's manifest is not sound: {field}: {why}.")
