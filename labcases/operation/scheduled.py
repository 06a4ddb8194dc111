"""The backup of each day: made when due, verified, noted, and older ones let go."""

import datetime
import re
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import Error
from django.utils import timezone

from labcases.operation.actions.backing_up import write_backup
from labcases.operation.refusals import ArchiveRefused, first_line
from labcases.post.actions.delivering import clear_letters
from labcases.prosthodontics.errors import LabCasesError, one_line
from labcases.tickets.actions.printing import put_old_prints_away
from labcases.upkeep.actions.backups import begin_backup, note_failure, note_removed, note_verified
from labcases.upkeep.actions.clearing import clear_away
from labcases.upkeep.models import Backup
from labcases.upkeep.queries import backup_day_due
from labcases.upkeep.rules import backups_to_keep

NAME = "labcases-%Y%m%dT%H%M%SZ.zip"
# Files with other names in the folder are somebody else's and stay.
A_NAME = re.compile(r"labcases-\d{8}T\d{6}Z\.zip")


@dataclass(frozen=True)
class Made:
    path: Path
    row_count: int
    removed: tuple[str, ...]


@dataclass(frozen=True)
class Night:
    """The backup, if one was due, and what was cleared away, in words."""

    made: Made | None
    cleared: str


def see_to_the_night(*, now: datetime.datetime) -> Night:
    """Back up, then clear away what has served its time; what stands against the backup is raised after that."""
    try:
        made = back_up_if_due(now=now)
    finally:
        gone = clear_away(now=now)
        gone |= {"letters": clear_letters(now=now), "whole prints": put_old_prints_away(now=now)}
    words = ", ".join(f"{count} {name}" for name, count in gone.items() if count)
    return Night(made, f"cleared: {words or 'nothing'}")


def back_up_if_due(*, now: datetime.datetime) -> Made | None:
    """Make the backup that is due and let older ones go; None if none is. Raises what stood against it, once noted."""
    day = backup_day_due(timezone.localtime(now), hour=settings.BACKUP_HOUR)
    backup = day and begin_backup(day=day, file_name=name_at(now), now=now)
    return _make(backup, now) if backup else None


def _make(backup: Backup, now: datetime.datetime) -> Made:
    folder = Path(settings.BACKUP_FOLDER)
    path = folder / backup.file_name
    try:
        _make_folder(folder)
        manifest = write_backup(path, now=now)
        note_verified(backup, row_count=manifest.rows, size=path.stat().st_size, now=timezone.now())
    except (LabCasesError, Error, OSError) as error:
        note_failure(backup, words=first_line(error))
        raise
    return Made(path, manifest.rows, let_go(folder, now=now))


def let_go(folder: Path, *, now: datetime.datetime) -> tuple[str, ...]:
    """Remove the backups that the settings do not keep; the names of those that went."""
    found = {moment: path for path in folder.iterdir() if (moment := _moment(path.name))}
    kept = backups_to_keep(
        found,
        daily=settings.BACKUPS_DAILY,
        weekly=settings.BACKUPS_WEEKLY,
        monthly=settings.BACKUPS_MONTHLY,
    )
    gone = [path for moment, path in sorted(found.items()) if moment not in kept]
    for path in gone:
        path.unlink(missing_ok=True)
    names = tuple(path.name for path in gone)
    note_removed(file_names=names, now=now)
    return names


def name_at(now: datetime.datetime) -> str:
    return now.astimezone(datetime.UTC).strftime(NAME)


def _moment(name: str) -> datetime.datetime | None:
    """When a backup of ours was begun, by its name, on the laboratory's clock."""
    if not A_NAME.fullmatch(name):
        return None
    try:
        written = datetime.datetime.strptime(name, NAME).replace(tzinfo=datetime.UTC)
    except ValueError:
        return None
    return timezone.localtime(written)


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise ArchiveRefused(one_line(f"{folder} can't be made: {error.strerror or error}.")) from error
