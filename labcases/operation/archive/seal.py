"""The seal: a zip's comment that ends with the SHA-256 of every byte of the file before it."""

import hashlib
import os
from typing import BinaryIO

from labcases.operation.refusals import ArchiveRefused

WORDS = b"labcases backup; the SHA-256 of all bytes before these last 64 is "
DIGITS = 64
UNSEALED = WORDS + b"0" * DIGITS
BLOCK = 1024**2


def set_seal(file: BinaryIO) -> None:
    """Write the digest over the last characters of a finished zip whose comment is UNSEALED."""
    digest = _digest(file)
    file.seek(-DIGITS, os.SEEK_END)
    file.write(digest)


def check_seal(file: BinaryIO) -> None:
    """Raise ArchiveRefused unless the file ends with the digest of everything before it."""
    size = file.seek(0, os.SEEK_END)
    if size <= len(UNSEALED):
        raise ArchiveRefused("The file is no backup of this program, or it was cut short.")
    file.seek(-len(UNSEALED), os.SEEK_END)
    end = file.read(len(UNSEALED))
    if not end.startswith(WORDS):
        raise ArchiveRefused("The file is no backup of this program, or it was cut short.")
    if end[-DIGITS:] != _digest(file):
        raise ArchiveRefused("The backup is damaged: its bytes are not those that were written.")


def _digest(file: BinaryIO) -> bytes:
    left = file.seek(0, os.SEEK_END) - DIGITS
    file.seek(0)
    found = hashlib.sha256()
    while left > 0 and (block := file.read(min(BLOCK, left))):
        found.update(block)
        left -= len(block)
    return found.hexdigest().encode("ascii")
