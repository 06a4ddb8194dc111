"""Checks across readings: the plane through the rim, left against right, the two rims against the space.

Frame for points: x in mm to the patient's left, y forwards, z upwards.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan, atan2, degrees, hypot, radians, sin, tan

import numpy as np

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words

Point = tuple[float, float, float]


@dataclass(frozen=True)
class Plane:
    """The plane through points of the rim, angles in degrees.

    pitch: positive where the front lies lower than the back. cant: positive where the patient's left lies
    lower than the right. residual: the largest distance of a point from the plane, mm (0 for three points).
    """

    pitch: float
    cant: float
    residual: float

    @property
    def words(self) -> str:
        """Both angles in a sentence."""
        return f"{self._sagittal}; {self._frontal}."

    @property
    def _sagittal(self) -> str:
        if abs(self.pitch) < 0.05:
            return str(Words("Front and back lie level"))
        lower = Words("The front lies lower by {pitch:.1f} degrees")
        higher = Words("The front lies higher by {pitch:.1f} degrees")
        return (lower if self.pitch > 0 else higher).of(pitch=abs(self.pitch))

    @property
    def _frontal(self) -> str:
        if abs(self.cant) < 0.05:
            return str(Words("left and right lie level"))
        left = Words("the patient's left lies lower by {cant:.1f} degrees")
        right = Words("the patient's right lies lower by {cant:.1f} degrees")
        return (left if self.cant > 0 else right).of(cant=abs(self.cant))


# Occlusal plane against lines of the face, to be shown beside a finding; schools differ about the tragus point.
PLANE_EVIDENCE: tuple[tuple[str, str, Source], ...] = (
    (
        Words("ala to tragus, upper, middle, lower point"),
        Words("5.65, 3.19 and 2.92 degrees (13 men)"),
        Source("Rostamkhani F and others, J Dent Tehran 2005;2(2):46-49", Provenance.SEEN, "H"),
    ),
    (
        Words("ala to tragus, upper, middle, lower point"),
        Words("5.18, 2.39 and 3.60 degrees (37 people with natural teeth)"),
        Source("J Nepal Prosthodont Soc, id 12", Provenance.SEEN, "H"),
    ),
    (
        Words("occlusal plane to the Frankfort plane"),
        Words("11.96 ± 4.36 degrees; ala to lower tragus 10.31 ± 2.03 degrees (150 people)"),
        Source("Kumar S, Garg S, Gupta S, J Adv Prosthodont 2013;5:9-15", Provenance.SEEN, "H"),
    ),
    (
        Words("two thirds of the retromolar pad's height"),
        Words("classical level of the posterior plane"),
        Source("Lundquist DO, Luther WW, J Prosthet Dent 1970;23:489-498", Provenance.RECALLED, "H"),
    ),
    (
        Words("lower or middle third of the retromolar pad"),
        Words("35 % lower, 33.3 % middle, 11.7 % upper third (60 people with natural teeth)"),
        Source("Shah SZH and others, Pak Oral Dent J 2016;36(3):484-486", Provenance.SEEN, "H"),
    ),
)


def rim_plane(points: Sequence[Point]) -> Plane:
    """The plane through three points, or the closest one to more, by total least squares.

    The slopes are taken in the median and the frontal plane. InputError when the points lie on one line.
    """
    cloud = np.asarray(points, dtype=float)
    if cloud.ndim != 2 or cloud.shape[0] < 3 or cloud.shape[1] != 3 or not np.isfinite(cloud).all():
        raise InputError("points", len(points), Words("at least three points of x, y, z in mm"))
    centred = cloud - cloud.mean(axis=0)
    _, spread, axes = np.linalg.svd(centred, full_matrices=False)
    if spread[1] < 1e-6 * max(float(spread[0]), 1.0):
        raise InputError("points", str(Words("points on one line")), Words("three points that span a plane"))
    normal = axes[2]
    if abs(normal[2]) < 1e-6:
        raise InputError(
            "points", str(Words("an upright plane")), Words("points that span the rim from side to side")
        )
    forward, left = float(normal[1] / normal[2]), float(normal[0] / normal[2])
    residual = float(np.abs(centred @ normal).max())
    return Plane(degrees(atan2(forward, 1.0)), degrees(atan2(left, 1.0)), residual)


@dataclass(frozen=True)
class Asymmetry:
    """Left against right. difference: left minus right, mm; cant: the tilt that it makes, degrees; u: mm."""

    difference: float
    cant: float
    u: float

    @property
    def words(self) -> str:
        if self.difference == 0:
            return Words("Left and right are alike.")
        left = Words("The left is higher by {difference:.2f} mm ({cant:.2f} degrees)")
        right = Words("The right is higher by {difference:.2f} mm ({cant:.2f} degrees)")
        found = (left if self.difference > 0 else right).of(
            difference=abs(self.difference), cant=abs(self.cant)
        )
        if abs(self.difference) > 1.96 * self.u:
            return f"{found}."
        return Words("{found}; no more than the readings themselves scatter.").of(found=found)


def asymmetry(
    left: float, right: float, *, between: float, u_left: float = 0.0, u_right: float = 0.0
) -> Asymmetry:
    """Left and right height (mm) taken `between` mm apart: cant = atan(difference / between)."""
    _positive("between", between)
    difference = left - right
    return Asymmetry(difference, degrees(atan(difference / between)), hypot(u_left, u_right))


@dataclass(frozen=True)
class RimSum:
    """Upper plus lower rim against the space between the sulci, mm. Positive spare: short of it."""

    spare: float
    u: float

    @property
    def words(self) -> str:
        if abs(self.spare) <= 1.96 * self.u or self.spare == 0:
            return Words("Both rims together match the space between the sulci ({spare:+.2f} mm).").of(
                spare=self.spare
            )
        short = Words("Both rims together are {spare:.2f} mm short of the space between the sulci.")
        more = Words("Both rims together are {spare:.2f} mm more than the space between the sulci.")
        return (short if self.spare > 0 else more).of(spare=abs(self.spare))


def rims_against_space(
    upper: float, lower: float, *, intersulcus_distance: float, u: Sequence[float] = ()
) -> RimSum:
    """Upper + lower anterior height against the inter-sulcus distance at the vertical dimension, mm."""
    return RimSum(intersulcus_distance - upper - lower, hypot(*u))


def face_length(vertical_height: float, *, inclination: float) -> float:
    """Length along a labial face (mm) of a vertical height; inclination to the occlusal plane in degrees."""
    if not 0 < inclination < 180:
        raise InputError("inclination", round(inclination, 3), Words("more than 0 and less than 180 degrees"))
    return vertical_height / sin(radians(inclination))


def rise(distance: float, *, tilt: float) -> float:
    """Change of height (mm) over a distance (mm) along a plane tilted by `tilt` degrees."""
    return distance * tan(radians(tilt))


def edge_below_papilla(edge_height: float, *, labial_distance: float, tilt: float) -> float:
    """Papilla to incisal edge (mm), square to a plane tilted by `tilt` degrees."""
    return edge_height + rise(labial_distance, tilt=tilt)


def posterior_height_on_plane(anterior_height: float, *, distance: float, tilt: float) -> float:
    """Height (mm) at `distance` mm behind the anterior one, where the plane comes up by `tilt` degrees."""
    return anterior_height - rise(distance, tilt=tilt)


def sagitta(radius: float, chord: float) -> float:
    """Depth (mm) of a sphere's or circle's arc under its chord; for the compensating curve R is 101.6 mm."""
    _positive("radius", radius)
    if not 0 <= chord <= 2 * radius:
        raise InputError("chord", round(chord, 3), Words("{low:g} to {high:g} mm").of(low=0, high=2 * radius))
    return float(radius - np.sqrt(radius**2 - (chord / 2) ** 2))


@dataclass(frozen=True)
class Drift:
    """The same dimension at two stages. difference: later minus earlier, mm; |e_n| > 1 is a change."""

    difference: float
    e_n: float

    @property
    def consistent(self) -> bool:
        return abs(self.e_n) <= 1

    @property
    def words(self) -> str:
        known = Words("Changed by {difference:+.2f} mm (E_n {e_n:.2f}): no more than the readings are known.")
        changed = Words("Changed by {difference:+.2f} mm (E_n {e_n:.2f}): more than the readings explain.")
        return (known if self.consistent else changed).of(difference=self.difference, e_n=self.e_n)


def drift(earlier: float, later: float, *, expanded_earlier: float, expanded_later: float) -> Drift:
    """E_n = d / √(U₁² + U₂²), U expanded uncertainties (k = 2), mm. ISO/IEC 17043 (recalled)."""
    spread = hypot(expanded_earlier, expanded_later)
    _positive("expanded uncertainty", spread)
    return Drift(later - earlier, (later - earlier) / spread)


def _positive(field: str, value: float) -> None:
    if not value > 0:
        raise InputError(field, round(value, 3), Words("more than 0"))
