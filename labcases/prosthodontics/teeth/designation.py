"""Tooth numbers: ISO 3950 two-digit designation and the Universal numbering beside it.

Quadrants 1 upper right, 2 upper left, 3 lower left, 4 lower right; second digit 1 to 8 from the midline
(ISO 3950, recalled). The conversion is derived.
"""

from __future__ import annotations

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.wording import Words

_KINDS = (
    Words("central incisor"),
    Words("lateral incisor"),
    Words("canine"),
    Words("first premolar"),
    Words("second premolar"),
    Words("first molar"),
    Words("second molar"),
    Words("third molar"),
)
_MIRROR = {1: 2, 2: 1, 3: 4, 4: 3}
_SIDES = {1: Words("upper right"), 2: Words("upper left"), 3: Words("lower left"), 4: Words("lower right")}

ALL_TEETH = tuple(quadrant * 10 + digit for quadrant in (1, 2, 3, 4) for digit in range(1, 9))
# A complete denture carries 28 teeth: no third molars.
DENTURE_TEETH = tuple(tooth for tooth in ALL_TEETH if tooth % 10 != 8)


def quadrant_and_digit(iso: int) -> tuple[int, int]:
    """Quadrant 1 to 4 and place 1 to 8 of an ISO number; InputError for any other number."""
    if iso not in ALL_TEETH:
        raise InputError("tooth", iso, "11 to 18, 21 to 28, 31 to 38 or 41 to 48 (ISO 3950)")
    return divmod(iso, 10)


def to_universal(iso: int) -> int:
    """Universal number, 1 to 32, of an ISO number."""
    quadrant, digit = quadrant_and_digit(iso)
    return {1: 9 - digit, 2: 8 + digit, 3: 25 - digit, 4: 24 + digit}[quadrant]


def from_universal(universal: int) -> int:
    """ISO number of a Universal number, 1 to 32."""
    if isinstance(universal, bool) or not 1 <= universal <= 32:
        raise InputError("tooth", universal, "1 to 32 (Universal)")
    quadrant = (universal - 1) // 8 + 1
    digit = {1: 9 - universal, 2: universal - 8, 3: 25 - universal, 4: universal - 24}[quadrant]
    return quadrant * 10 + digit


def mirror(iso: int) -> int:
    """The same tooth on the other side."""
    quadrant, digit = quadrant_and_digit(iso)
    return _MIRROR[quadrant] * 10 + digit


def arch_of(iso: int) -> str:
    """Arch of an ISO number, maxillary or mandibular."""
    return "maxillary" if quadrant_and_digit(iso)[0] <= 2 else "mandibular"


def tooth_words(iso: int) -> str:
    """Both numbers and the name, as printed: 11 (Universal 8), upper right central incisor."""
    quadrant, digit = quadrant_and_digit(iso)
    return Words("{iso} (Universal {universal}), {side} {tooth}").of(
        iso=iso, universal=to_universal(iso), side=_SIDES[quadrant], tooth=_KINDS[digit - 1]
    )
