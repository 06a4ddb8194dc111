"""The code on a ticket: 130 random bits that mean nothing, in letters that a scanner and a person can both read."""

import re
import secrets
import unicodedata
from dataclasses import dataclass

from django.utils.translation import gettext as _

from labcases.prosthodontics.errors import LabCasesError

ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567"  # RFC 4648 base32: all of it fits a QR code's alphanumeric mode
LENGTH = 26  # × 5 bits = 130
GROUP = 4
QUIET_ZONE = 4  # modules, ISO/IEC 18004
# 0 and 8 are not in the alphabet and can only be meant as the letters they look like; a 1 could be I or L.
LOOKALIKES = str.maketrans("08", "OB")
MODULE_MM = (0.7, 0.6)
WIDEST_MM = 34.0
_ADDRESS = re.compile(r"[0-9A-Z$%*+\-./:]+")
_BETWEEN = re.compile(r"[\s\-‐‑–—·.]+")


class CodeError(LabCasesError):
    """A typed or scanned text that is no ticket's code; `.message` says why."""


@dataclass(frozen=True)
class ScanMark:
    """A QR code to draw: `path` in modules inside a square of `modules` with its quiet zone, `side` in mm."""

    content: str
    path: str
    modules: int
    side: float


def new_code() -> str:
    """A code that nobody can guess: 130 bits from the system's source of randomness."""
    return "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))


def groups(code: str) -> tuple[str, ...]:
    """The code in groups of four, as it is printed for people."""
    return tuple(code[start : start + GROUP] for start in range(0, len(code), GROUP))


def parse_code(text: str) -> str:
    """The code meant by what was typed or scanned: in any case, with spaces or dashes, or inside its address."""
    folded = unicodedata.normalize("NFKC", text[:400]).upper()
    bare = _BETWEEN.sub("", folded.rpartition("/T/")[2].strip(" /")).translate(LOOKALIKES)
    wrong = next((character for character in bare if character not in ALPHABET), None)
    if wrong == "1":
        raise CodeError(_("A ticket's code has no 1 in it: type I or L, whichever the paper shows."))
    if wrong is not None or len(bare) != LENGTH:
        raise CodeError(
            _(
                "“{text}” is not a ticket's code; one is {length} letters and digits (2 to 7) in groups of {group}."
            ).format(text=text[:40], length=LENGTH, group=GROUP)
        )
    return bare


def looks_like_a_code(text: str) -> bool:
    try:
        parse_code(text)
    except CodeError:
        return False
    return True


def scan_address(code: str, *, public_url: str) -> str:
    """What a scanner reads: the site's address and the code, in capitals alone."""
    address = f"{public_url.rstrip('/')}/T/{code}".upper()
    if not _ADDRESS.fullmatch(address):
        raise LabCasesError(
            f"The site's public address {public_url} has a character that a scan code in capitals cannot hold; "
            "allowed: letters, digits and $ % * + - . / :"
        )
    return address


def scan_mark(code: str, *, public_url: str) -> ScanMark:
    """The QR code of a ticket at error correction level H, which a third of dirt does not spoil."""
    import segno

    content = scan_address(code, public_url=public_url)
    drawn = segno.make_qr(content, error="h", mode="alphanumeric", boost_error=False)
    rows = tuple(tuple(row) for row in drawn.matrix)
    modules = len(rows) + 2 * QUIET_ZONE
    size = next((size for size in MODULE_MM if modules * size <= WIDEST_MM), MODULE_MM[-1])
    return ScanMark(content, _path(rows), modules, round(modules * size, 2))


def _path(rows: tuple[tuple[int, ...], ...]) -> str:
    """The dark modules as one path: a flat rectangle for every run of them in a row."""
    return "".join(
        f"M{start + QUIET_ZONE} {y + QUIET_ZONE}h{length}v1h-{length}z"
        for y, row in enumerate(rows)
        for start, length in _runs(row)
    )


def _runs(row: tuple[int, ...]) -> list[tuple[int, int]]:
    runs: list[tuple[int, int]] = []
    for x, dark in enumerate(row):
        if dark and x and row[x - 1]:
            start, length = runs[-1]
            runs[-1] = (start, length + 1)
        elif dark:
            runs.append((x, 1))
    return runs
