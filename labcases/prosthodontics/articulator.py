"""Settings of an articulator, from records and from published averages. Angles in degrees, lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, atan, atan2, cos, degrees, radians, sin, sqrt, tan

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import COMMON_PRACTICE, Provenance, Source
from labcases.prosthodontics.wording import Words

HANAU = Source(Words("Hanau RL 1930, as quoted in several abstracts"), Provenance.SEEN, "H")
CHRISTENSEN = Source(
    Words("Christensen FT, J Prosthet Dent; sign inside the bracket derived, since the print is garbled"),
    Provenance.DERIVED,
    "H",
)
BONWILL_SIDE = 101.6
BONWILL_SOURCE = Source(Words("Bonwill: equilateral triangle, 4 in"), Provenance.SEEN, "H")
BALKWILL_ANGLE = 22.0
BALKWILL_SOURCE = Source(Words("Balkwill's angle, 18 to 26 degrees by author"), Provenance.SEEN, "H")
MONSON_RADIUS = 101.6
MONSON_SOURCE = Source(Words("Monson GS 1920, 1932: 4 in"), Provenance.RECALLED, "H")


@dataclass(frozen=True)
class Setting:
    """A usual setting where no record exists, with what has been measured against it."""

    name: str
    label: str
    value: float
    source: Source
    beside: str


USUAL_SETTINGS: tuple[Setting, ...] = (
    Setting(
        "condylar",
        Words("Horizontal condylar inclination"),
        30.0,
        COMMON_PRACTICE,
        Words(
            "means of 32 and 31.5 degrees were recorded in 103 people, 41.7 degrees by pantograph (both seen)"
        ),
    ),
    Setting(
        "lateral",
        Words("Lateral condylar setting (Bennett angle)"),
        15.0,
        COMMON_PRACTICE,
        Words(
            "10.1 degrees measured by pantograph against the assumed 15 (Ghodsi S, Rasaeipour S 2018, seen)"
        ),
    ),
    Setting(
        "incisal",
        Words("Incisal guide angle"),
        10.0,
        COMMON_PRACTICE,
        Words("0 to 10 degrees for complete dentures"),
    ),
)


@dataclass(frozen=True)
class HingePoint:
    """An arbitrary hinge axis point on the skin: where it is, and how often it is near the true axis."""

    name: str
    where: str
    agreement: str
    source: Source


HINGE_POINTS: tuple[HingePoint, ...] = (
    HingePoint(
        "Beyron",
        Words(
            "13 mm in front of the posterior margin of the tragus, on the line to the outer corner of the eye"
        ),
        Words("97 to 98 % within 5 mm (Schallhorn); 58 % (Beck)"),
        Source("Beyron", Provenance.RECALLED, "H"),
    ),
    HingePoint(
        "Bergstrom",
        Words("10 mm in front of the centre of the ear plug and 7 mm below the Frankfort plane"),
        Words("83 % within 5 mm (Beck)"),
        Source("Bergstrom", Provenance.RECALLED, "H"),
    ),
    HingePoint(
        "Gysi",
        Words(
            "10 to 13 mm in front of the upper third of the tragus, on the line to the outer corner of the eye"
        ),
        Words("17 % within 5 mm (Beck)"),
        Source("Gysi", Provenance.RECALLED, "M"),
    ),
)
AGREEMENT_SOURCE = Source(
    "Simpson JW, Hesby RA, Pfeifer DL, Pelleu GB, J Prosthet Dent 1984", Provenance.SEEN, "H"
)


def lateral_setting(horizontal: float) -> float:
    """Lateral condylar setting L = H/8 + 12, degrees."""
    _angle("horizontal", horizontal, 0, 90)
    return horizontal / 8 + 12


def bonwill_height(arm: float, base: float) -> float:
    """Middle of the condylar axis to the incisal point (mm), from the triangle's arm and base."""
    if not 0 < base < 2 * arm:
        raise InputError(
            "base",
            round(base, 3),
            Words("more than 0 and less than twice the arm, {twice:g} mm").of(twice=2 * arm),
        )
    return sqrt(arm**2 - (base / 2) ** 2)


def christensen_angle(
    path: float, *, protrusion: float, height: float, balkwill: float = BALKWILL_ANGLE
) -> float:
    """Angle by which the rims part behind in protrusion, degrees.

    sin((r − f) + g) = sin(r − f) + (p/a)·sin r, with r the condylar path to the occlusal plane, f Balkwill's
    angle, p the protrusion along the plane with no incisal guidance, a the height of the triangle (mm).
    """
    _angle("path", path, 0, 80)
    _angle("balkwill", balkwill, 0, 45)
    _length("protrusion", protrusion, 0, 20)
    _length("height", height, 50, 150)
    between = radians(path - balkwill)
    sine = sin(between) + protrusion / height * sin(radians(path))
    if sine > 1:
        raise InputError("path", round(path, 3), Words("a flatter path or a shorter protrusion"))
    return degrees(asin(sine) - between)


def gap_at(angle: float, *, distance: float) -> float:
    """Gap (mm) at `distance` mm behind the incisal point for a Christensen angle in degrees."""
    return distance * tan(radians(angle))


def condylar_path(
    gap: float, *, distance: float, protrusion: float, height: float, balkwill: float = BALKWILL_ANGLE
) -> float:
    """Condylar path to the occlusal plane (degrees) that parts the rims by `gap` mm at `distance` mm behind.

    The inverse of `christensen_angle`: with k = 2·sin(g/2) and v = f − g/2,
    tan r = k·cos v / (p/a − k·sin v).
    """
    _length("gap", gap, 0, 20)
    _length("distance", distance, 5, 80)
    _length("protrusion", protrusion, 1, 20)
    _length("height", height, 50, 150)
    angle = atan(gap / distance)
    k, v = 2 * sin(angle / 2), radians(balkwill) - angle / 2
    path = degrees(atan2(k * cos(v), protrusion / height - k * sin(v)))
    if not 0 <= path <= 80:
        raise InputError(
            "gap", round(gap, 3), Words("a smaller gap: no condylar path of 80 degrees or less makes it")
        )
    return path


def incisal_guide_angle(overbite: float, overjet: float) -> float:
    """Incisal guide angle from overbite (vertical) and overjet (horizontal), mm: atan(overbite / overjet)."""
    _length("overbite", overbite, 0, 15)
    _length("overjet", overjet, 0, 15)
    if overjet == 0 and overbite == 0:
        return 0.0
    return degrees(atan2(overbite, overjet))


def _angle(field: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise InputError(field, round(value, 3), Words("{low:g} to {high:g} degrees").of(low=low, high=high))


def _length(field: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise InputError(field, round(value, 3), Words("{low:g} to {high:g} mm").of(low=low, high=high))
