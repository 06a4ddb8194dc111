"""Damaged, cut and forged archives: each is refused before a database is touched."""

import io
import json
import os
import zipfile
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from labcases.operation.actions.backing_up import verify_backup, write_backup
from labcases.operation.archive import reading
from labcases.operation.archive.reading import opened
from labcases.operation.refusals import ArchiveRefused
from tests.operation import archives
from tests.operation.databases import empty_database, fill_every_table, tables

FLIPS, CUTS = 250, 50


@pytest.fixture(scope="module")
def whole(django_db_setup, django_db_blocker, tmp_path_factory) -> bytes:
    """One archive for all the tests here; reading it needs no database."""
    path = tmp_path_factory.mktemp("backup") / "whole.zip"
    with django_db_blocker.unblock():
        try:
            fill_every_table()
            write_backup(path, now=timezone.now())
        finally:
            call_command("flush", interactive=False, verbosity=0)
    return path.read_bytes()


def flipped(archive: bytes, rng) -> bytes:
    place = rng.randrange(len(archive))
    changed = bytearray(archive)
    changed[place] ^= rng.randrange(1, 256)
    return bytes(changed)


def file_of(archive: bytes, folder: Path) -> Path:
    path = folder / "tried.zip"
    path.write_bytes(archive)
    return path


@pytest.mark.django_db(transaction=True)
def test_of_damaged_archives_none_is_restored_and_nothing_is_touched(whole, tmp_path, rng, proof):
    damaged = [flipped(whole, rng) for _ in range(FLIPS)]
    damaged += [whole[:end] for end in (0, 1, len(whole) - 1)]
    damaged += [whole[: rng.randrange(len(whole))] for _ in range(CUTS - 3)]
    damaged += [whole + b"\0", b"PK" + whole, whole + whole]
    refused = 0
    with empty_database("sqlite", folder=tmp_path) as alias:
        for archive in damaged:
            with pytest.raises(CommandError) as raised:
                call_command("restore", str(file_of(archive, tmp_path)), database=alias)
            assert raised.value.returncode == 2
            assert "\n" not in str(raised.value)
            assert tables(alias) == []
            refused += 1
        assert refused == FLIPS + CUTS + 3
        call_command("restore", str(file_of(whole, tmp_path)), database=alias, stdout=io.StringIO())
        assert tables(alias)
    proof("damaged-backups").reached(refused, "damaged archives refused")


def test_damage_that_was_sealed_anew_is_refused_or_changes_no_row(whole, tmp_path, rng):
    """The seal can be made by anyone; under it the manifest's own checksums hold."""
    with opened(file_of(whole, tmp_path)) as archive:
        expected = {table.label: list(archive.rows(table)) for table in archive.manifest.tables}
    refused = 0
    for _ in range(FLIPS):
        path = file_of(
            archives.sealed(flipped(whole[: -archives.DIGITS], rng) + whole[-archives.DIGITS :]), tmp_path
        )
        try:
            with opened(path) as archive:
                found = {table.label: list(archive.rows(table)) for table in archive.manifest.tables}
        except ArchiveRefused:
            refused += 1
        else:
            assert found == expected
    assert refused > FLIPS / 2


def refusal(archive: bytes, folder: Path) -> str:
    with pytest.raises(ArchiveRefused) as raised:
        verify_backup(file_of(archive, folder))
    assert "\n" not in raised.value.message
    return raised.value.message


@pytest.mark.parametrize(
    "name",
    [
        "../../etc/cron.d/planted",
        "/tmp/planted",
        "tables/../../planted.jsonl",
        "tables\\people.user.jsonl",
        "tables/people.user.jsonl/",
        "C:planted",
        "notes.txt",
    ],
)
def test_a_file_that_is_none_of_a_backups_own_is_refused(name, whole, tmp_path):
    members = archives.members_of(whole)
    assert "none of its own" in refusal(archives.packed({**members, name: b"[]\n"}), tmp_path)


def test_a_name_that_hides_its_end_is_refused(whole, tmp_path):
    members = archives.members_of(whole)
    archive = archives.packed({**members, "tables/people.usher.jsonl+.txt": b"[]\n"})
    assert "none of its own" in refusal(archives.sealed(archive.replace(b"l+.txt", b"l\0.txt")), tmp_path)


def test_a_file_that_the_manifest_does_not_name_is_refused(whole, tmp_path):
    members = {**archives.members_of(whole), "tables/people.planted.jsonl": b""}
    assert "differ: tables/people.planted.jsonl" in refusal(archives.packed(members), tmp_path)


def test_a_missing_file_is_refused(whole, tmp_path):
    members = archives.members_of(whole)
    del members["tables/people.user.jsonl"]
    assert "differ: tables/people.user.jsonl" in refusal(archives.packed(members), tmp_path)
    del members["manifest.json"]
    assert "no manifest" in refusal(archives.packed(members), tmp_path)


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_a_file_that_is_there_twice_is_refused(whole, tmp_path):
    pairs = [*archives.members_of(whole).items(), ("tables/people.user.jsonl", b"")]
    assert "one file twice" in refusal(archives.packed(pairs), tmp_path)


def test_a_way_of_packing_that_is_never_written_is_refused(whole, tmp_path):
    archive = archives.packed(archives.members_of(whole), compression=zipfile.ZIP_LZMA)
    assert "packed in a way" in refusal(archive, tmp_path)


def test_files_that_lie_over_one_another_are_refused(whole, tmp_path):
    file = io.BytesIO(whole)
    with zipfile.ZipFile(file) as zipped:
        infos = zipped.infolist()
        second = infos[1].header_offset
    at = whole.rindex(b"PK\x01\x02", 0, whole.index(infos[1].filename.encode(), zipped.start_dir)) + 42
    assert int.from_bytes(whole[at : at + 4], "little") == second
    archive = whole[:at] + infos[0].header_offset.to_bytes(4, "little") + whole[at + 4 :]
    assert "over one another" in refusal(archives.sealed(archive), tmp_path)


def test_what_unpacks_to_more_than_its_size_allows_is_refused_unread(whole, tmp_path, monkeypatch):
    monkeypatch.setattr(reading, "ALWAYS_ALLOWED", 1024)
    bomb = archives.with_table(whole, "people.user", b"[" + b" " * 50_000_000 + b"]\n")
    monkeypatch.setattr(zipfile.ZipFile, "open", lambda *args, **kwargs: pytest.fail("it was unpacked"))
    assert "more than its size allows" in refusal(bomb, tmp_path)


def test_a_size_that_is_lied_about_is_refused(whole, tmp_path):
    """The zip's own list says 1 byte; what is unpacked is no more than that, and no longer what was promised."""
    place = whole.rindex(b"tables/cases.case.jsonl") - 46 + 24
    archive = whole[:place] + (1).to_bytes(4, "little") + whole[place + 4 :]
    assert "not as large" in refusal(archives.sealed(archive), tmp_path)


def test_a_line_without_end_is_refused(whole, tmp_path, monkeypatch):
    monkeypatch.setattr(reading, "LONGEST_LINE", 10_000)
    assert "can't be read" in refusal(archives.with_table(whole, "people.user", b"[" * 20_000), tmp_path)


@pytest.mark.parametrize(
    "line",
    [
        b"{}",
        b"[]",
        b"[1",
        b"[NaN]",
        b"[" * 100_000 + b"]" * 100_000,
        b"[" + b"9" * 5_000 + b"]",
        b'["\xff"]',
        b'"text"',
        b"",
    ],
)
def test_a_row_that_is_no_row_of_its_table_is_refused(line, whole, tmp_path):
    assert "can't be read" in refusal(
        archives.with_table(whole, "cases.numberseries", line + b"\n"), tmp_path
    )


def first_table(manifest):
    return next(each for each in manifest["tables"] if each["table"] == "people.practice")


CHANGES = {
    "another format": (lambda m: m.update(format="something"), "no backup of this program"),
    "a later format": (lambda m: m.update(version=3), "of format 3; this program reads format 1 and 2"),
    "a version that is no number": (lambda m: m.update(version="1\n"), "of format"),
    "no tables": (lambda m: m.pop("tables"), "tables: not a list"),
    "a table of another name": (lambda m: first_table(m).update(table="../people"), "no table's name"),
    "a member of another name": (lambda m: first_table(m).update(member="manifest.json"), "another name"),
    "a table named twice": (lambda m: m["tables"].append(first_table(m)), "named twice"),
    "a table left away": (lambda m: m["tables"].remove(first_table(m)), "differ"),
    "a row too many": (lambda m: first_table(m).update(rows=first_table(m)["rows"] + 1), "not the one"),
    "a negative count": (lambda m: first_table(m).update(rows=-1), "not a count"),
    "a count that is true": (lambda m: first_table(m).update(rows=True), "not a count"),
    "another size": (lambda m: first_table(m).update(bytes=1), "not as large"),
    "another digest": (lambda m: first_table(m).update(sha256="0" * 64), "not the one"),
    "no digest": (lambda m: first_table(m).update(sha256=""), "not accepted"),
    "a column of no kind": (lambda m: first_table(m)["columns"][0].__setitem__(1, "pickle"), "known kind"),
    "a column of another kind": (
        lambda m: first_table(m)["columns"][0].__setitem__(1, "json"),
        "does not fit",
    ),
    "a column of another name": (lambda m: first_table(m)["columns"][0].__setitem__(0, "pk"), "does not fit"),
    "a file of another name": (
        lambda m: m["files"][0].update(file="../../planted.jpg"),
        "is not accepted",
    ),
    "a file named twice": (lambda m: m["files"].append(m["files"][0]), "named twice"),
    "a file left away": (lambda m: m["files"].pop(), "differ"),
    "a file of another size": (lambda m: m["files"][0].update(bytes=1), "not as large"),
    "a file of another digest": (lambda m: m["files"][0].update(sha256="0" * 64), "not the one"),
    "files that are no list": (lambda m: m.update(files={}), "files: not a list"),
    "a moment without a zone": (lambda m: m.update(created_at="2026-03-02T09:00:00"), "time zone"),
    "no moment": (lambda m: m.update(created_at=7), "not a moment"),
    "a later migration": (lambda m: m["migrations"]["people"].append("9999_later"), "people 9999_later"),
    "a foreign application": (
        lambda m: m["migrations"].update(garage=["0001_initial"]),
        "garage 0001_initial",
    ),
    "a gap": (lambda m: m["migrations"]["people"].pop(0), "which later ones need"),
    "an application less": (lambda m: m["migrations"].pop("upkeep"), "upkeep.backup does not fit"),
}


@pytest.mark.parametrize("name", CHANGES)
def test_a_manifest_is_refused_that_has(name, whole, tmp_path):
    change, words = CHANGES[name]
    assert words in refusal(archives.with_manifest(whole, change), tmp_path)


@pytest.mark.parametrize("text", [b"", b"[]", b"{", b"[" * 100_000, b"\xff\xfe", b"null"])
def test_a_manifest_that_is_no_document_is_refused(text, whole, tmp_path):
    refusal(archives.packed({**archives.members_of(whole), "manifest.json": text}), tmp_path)


def test_a_manifest_that_is_too_large_is_refused_unread(whole, tmp_path, monkeypatch):
    monkeypatch.setattr(reading.manifests, "LARGEST", 5_000_000)
    padded = archives.members_of(whole)["manifest.json"] + b" " * 5_000_000
    archive = archives.packed({**archives.members_of(whole), "manifest.json": padded})
    assert "manifest is larger" in refusal(archive, tmp_path)


def test_what_is_no_file_is_refused(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    for path, words in (
        (tmp_path / "pipe", "is not a file"),
        (tmp_path / "none", "can't be read: No such file"),
    ):
        with pytest.raises(ArchiveRefused, match=words):
            verify_backup(path)
    with pytest.raises(ArchiveRefused):
        verify_backup(tmp_path)


def test_the_archive_is_a_zip_that_other_programs_open(whole):
    members = archives.members_of(whole)
    manifest = json.loads(members["manifest.json"])
    tables = {each["member"] for each in manifest["tables"]}
    files = {f"files/{each['file']}": each["bytes"] for each in manifest["files"]}
    assert tables | files.keys() == members.keys() - {"manifest.json"}
    assert files == {name: len(members[name]) for name in files} != {}
    assert all(each["rows"] == members[each["member"]].count(b"\n") for each in manifest["tables"])
    assert manifest["left_out"] == [
        "people.benchdevice",
        "people.session",
        "people.signinlink",
        "post.caselink",
        "sessions.session",
        "upkeep.lastwrite",
    ]
