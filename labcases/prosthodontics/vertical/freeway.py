"""Freeway space from the vertical dimensions at rest and of occlusion, and how well it is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import hypot, sqrt
from statistics import fmean, stdev

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words, figure

# mm, between two marks on the skin: what one reading scatters by, where it was not repeated.
SKIN_MARK_SCATTER = 1.0
# mm, the step to which a facial gauge is read (common practice, no source).
GAUGE_STEP = 0.5
SKIN_MARK_SOURCE = Source(Words("readings between skin marks"), Provenance.MEMORY, "L")
FREEWAY_RANGE = (2.0, 4.0)
FREEWAY_SOURCE = Source(Words("teaching text, docslib.org/doc/8139424"), Provenance.SEEN, "H")
IDENTITY_SOURCE = Source(
    "Glossary of Prosthodontic Terms, ninth edition, J Prosthet Dent 2017;117(5S)", Provenance.RECALLED, "H"
)

# What else has been published, to be shown beside a finding. (what, words, source)
EVIDENCE: tuple[tuple[str, str, Source], ...] = (
    (
        Words("freeway space"),
        Words("about 3.2 mm in 87 % of some 200 people"),
        Source("Niswonger ME, J Am Dent Assoc 1934;21:1572-1582", Provenance.RECALLED, "M"),
    ),
    (
        Words("freeway space"),
        Words("150 dentate adults: 1 to 7 mm; means 3 mm (square), 2.62 mm (tapering), 2.68 mm (ovoid face)"),
        Source("Aradya A, Chowdhary R, Indian J Dent Res 2017;28:613-616", Provenance.SEEN, "H"),
    ),
    (
        Words("closest speaking space"),
        Words("2.22 ± 1.38 mm with natural teeth, 2.61 ± 1.53 mm with complete dentures"),
        Source("Souza RF, Compagnoni MA, J Appl Oral Sci 2005;13(4)", Provenance.SEEN, "H"),
    ),
)


class Standing(StrEnum):
    """Where a freeway space stands against the configured range. Never a clinical verdict."""

    BELOW = "below the configured range"
    INSIDE = "inside the configured range"
    ABOVE = "above the configured range"

    @property
    def words(self) -> str:
        """The same for people."""
        return _STANDING_WORDS[self]


_STANDING_WORDS = {
    Standing.BELOW: Words("below the configured range"),
    Standing.INSIDE: Words("inside the configured range"),
    Standing.ABOVE: Words("above the configured range"),
}


@dataclass(frozen=True)
class FreewaySpace:
    """Freeway space in mm with its standard uncertainty u. doubtful: ±1.96 u reaches over a limit."""

    value: float
    u: float
    standing: Standing
    doubtful: bool

    @property
    def words(self) -> str:
        known = figure(f"{self.value:.1f} ± {1.96 * self.u:.1f} mm")
        if self.doubtful:
            return Words(
                "{known}, {standing}; these readings are too few to be sure on which side of the limit."
            ).of(known=known, standing=self.standing.words)
        return f"{known}, {self.standing.words}."


def mean_of(
    readings: Sequence[float], *, single_scatter: float = SKIN_MARK_SCATTER, resolution: float = GAUGE_STEP
) -> tuple[float, float]:
    """Mean of one or more readings (mm) and its standard uncertainty.

    s/√n, or `single_scatter` for one reading, and the gauge's step q/√12: three equal readings are not exact.
    """
    if not readings:
        raise InputError("readings", str(Words("none")), Words("at least one reading"))
    scatter = single_scatter if len(readings) == 1 else stdev(readings) / sqrt(len(readings))
    return fmean(readings), hypot(scatter, resolution / sqrt(12))


def freeway_space(
    *,
    rest: float,
    occlusion: float,
    u_rest: float,
    u_occlusion: float,
    usual: tuple[float, float] = FREEWAY_RANGE,
) -> FreewaySpace:
    """VDR − VDO in mm, u = √(u_rest² + u_occlusion²); `usual` is the range configured by the laboratory."""
    low, high = usual
    if not low < high:
        raise InputError(
            "range",
            Words("{low:g} to {high:g}").of(low=low, high=high),
            Words("a lower limit below the upper one"),
        )
    value, u = rest - occlusion, hypot(u_rest, u_occlusion)
    standing = Standing.BELOW if value < low else Standing.ABOVE if value > high else Standing.INSIDE
    doubtful = any(abs(value - limit) < 1.96 * u for limit in usual)
    return FreewaySpace(value, u, standing, doubtful)
