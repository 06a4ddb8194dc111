"""Archives that nobody wrote in good faith: sealed rightly, so that only what is inside can give them away."""

import hashlib
import io
import json
import zipfile

from labcases.operation.archive.seal import DIGITS, UNSEALED, set_seal


def members_of(archive: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(archive)) as zipped:
        return {name: zipped.read(name) for name in zipped.namelist()}


def packed(members, *, compression=zipfile.ZIP_DEFLATED) -> bytes:
    """A sealed archive of these members; pairs instead of a dictionary may hold a name twice."""
    pairs = members.items() if isinstance(members, dict) else members
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", compression) as zipped:
        for name, content in pairs:
            zipped.writestr(name, content)
        zipped.comment = UNSEALED
    return sealed(file.getvalue())


def sealed(archive: bytes) -> bytes:
    file = io.BytesIO(archive[:-DIGITS] + b"0" * DIGITS)
    set_seal(file)
    return file.getvalue()


def with_manifest(archive: bytes, change) -> bytes:
    """The archive after `change(manifest)` has altered the manifest in place."""
    members = members_of(archive)
    manifest = json.loads(members["manifest.json"])
    change(manifest)
    return packed({**members, "manifest.json": json.dumps(manifest).encode()})


def with_table(archive: bytes, label: str, lines: bytes) -> bytes:
    """The archive with other lines in one table, and a manifest that describes just these."""
    name = f"tables/{label}.jsonl"
    archive = packed({**members_of(archive), name: lines})

    def describe(manifest):
        entry = next(each for each in manifest["tables"] if each["table"] == label)
        entry |= {
            "rows": lines.count(b"\n"),
            "bytes": len(lines),
            "sha256": hashlib.sha256(lines).hexdigest(),
        }

    return with_manifest(archive, describe)
