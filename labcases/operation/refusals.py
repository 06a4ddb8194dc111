"""Why a backup is not made, not believed or not restored; each is one sentence for the person at the keyboard."""

from labcases.prosthodontics.errors import LabCasesError, one_line


class ArchiveRefused(LabCasesError):
    """The file can't be written, or what was read is not a whole and sound backup."""


class DatabaseRefused(LabCasesError):
    """The database at hand can't be backed up, or can't take the archive in."""


def first_line(error: Exception) -> str:
    """What a database or a disk says of itself, without the lines that explain it; never empty."""
    return one_line(str(error).strip().split("\n")[0]) or type(error).__name__
