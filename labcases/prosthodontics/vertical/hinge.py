"""The jaw as a hinge: what an opening at one place is at another.

Opening by an angle t moves a point at the distance d from the hinge axis by g = 2·d·sin(t/2).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import asin, degrees, radians, sin
from types import MappingProxyType

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words

HINGE_SOURCE = Source(Words("geometry of a hinge"), Provenance.DERIVED, "H")
DISTANCE_SOURCE = Source(
    Words("incisors: height of an equilateral triangle of 4 in side; the others from memory"),
    Provenance.MEMORY,
    "L",
)
# Hinge axis to the middle of each region, mm. On an articulator they can be measured and should be.
HINGE_DISTANCES: Mapping[str, float] = MappingProxyType(
    {"incisor": 88.0, "canine": 80.0, "premolar": 68.0, "molar": 50.0}
)
REGION_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "incisor": Words("incisors"),
        "canine": Words("canines"),
        "premolar": Words("premolars"),
        "molar": Words("molars"),
    }
)
# Kaiser DA, Schelb E, J Prosthet Dent (page seen): pin, incisors, molars at 6, 4 and 2 inches.
PIN_DISTANCES_INCHES = (6.0, 4.0, 2.0)


def opening_angle(gap: float, *, distance: float) -> float:
    """Angle in degrees, signed like `gap`, of a hinge that opens by `gap` mm at `distance` mm."""
    _check_distance(distance)
    if abs(gap) > distance:
        raise InputError(
            "gap",
            round(gap, 3),
            Words("at most {distance:g} mm, the distance to the hinge axis").of(distance=distance),
        )
    return degrees(2 * asin(gap / 2 / distance))


def change_at(distance: float, *, gap: float, gap_distance: float) -> float:
    """What an opening of `gap` mm at `gap_distance` mm is at `distance` mm from the hinge axis."""
    _check_distance(distance)
    return 2 * distance * sin(radians(opening_angle(gap, distance=gap_distance)) / 2)


@dataclass(frozen=True)
class RimChange:
    """What one rim gets at one region, mm: positive to add, negative to take off."""

    region: str
    upper: float
    lower: float


def rim_changes(
    *,
    freeway: float,
    wanted: float,
    upper_share: float = 0.0,
    distances: Mapping[str, float] = HINGE_DISTANCES,
) -> tuple[RimChange, ...]:
    """The change at each region that turns the measured freeway space into the wanted one, mm.

    At the incisors the two rims together change by freeway − wanted. `upper_share` of it (0 to 1) goes to the
    upper rim; 0 where the upper rim is fixed by how much tooth shows, which is the usual case.
    """
    if not 0 <= upper_share <= 1:
        raise InputError(
            "upper_share", round(upper_share, 3), Words("0 (lower rim only) to 1 (upper rim only)")
        )
    if "incisor" not in distances:
        raise InputError("distances", ", ".join(distances), Words("a distance for the incisors among them"))
    change = freeway - wanted
    changes = []
    for region, distance in distances.items():
        here = change_at(distance, gap=change, gap_distance=distances["incisor"])
        changes.append(RimChange(region, here * upper_share + 0.0, here * (1 - upper_share) + 0.0))
    return tuple(changes)


def rim_changes_beside(
    *, freeway: float, wanted: float, upper: float, distances: Mapping[str, float] = HINGE_DISTANCES
) -> tuple[RimChange, ...]:
    """As `rim_changes`, where the upper rim changes by `upper` mm at the incisors for a reason of its own.

    That may be the display: what it gives or takes, the lower rim takes or gives on top of the freeway space.
    """
    if "incisor" not in distances:
        raise InputError("distances", ", ".join(distances), Words("a distance for the incisors among them"))
    at = distances["incisor"]
    parts = {"upper": upper, "lower": freeway - wanted - upper}
    return tuple(
        RimChange(
            region, **{rim: change_at(far, gap=gap, gap_distance=at) + 0.0 for rim, gap in parts.items()}
        )
        for region, far in distances.items()
    )


def pin_change(pin: float, *, pin_distance: float, distance: float) -> float:
    """What a change of the incisal pin (mm) means at `distance` mm from the hinge axis: pin × d / d_pin."""
    _check_distance(pin_distance)
    _check_distance(distance)
    return pin * distance / pin_distance


def _check_distance(distance: float) -> None:
    if not 10 <= distance <= 250:
        raise InputError("distance", round(distance, 3), Words("10 to 250 mm from the hinge axis"))
