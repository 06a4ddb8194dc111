"""What a measured quantity is, and the words that all quantities share."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words, figure

Unit = Literal["mm", "deg", "%", "min", "count"]
Taker = Literal["clinic", "laboratory"]

ARCHES = ("maxillary", "mandibular")
STAGES = (
    "preliminary_impressions",
    "custom_tray",
    "definitive_impressions",
    "master_cast",
    "record_base",
    "occlusion_rims",
    "jaw_relation",
    "tooth_arrangement",
    "try_in",
    "processing",
    "insertion",
    "reline_impression",
    "reline",
    "repair",
    "copy_impression",
    "copy_template",
)
BOTH = ARCHES
MAXILLA = ("maxillary",)
MANDIBLE = ("mandibular",)
PATIENT: tuple[str, ...] = ()
HOUSE_RANGE = Source(Words("ranges set wide, as a net against slips"), Provenance.COMMON, "M")
ARCH_WORDS = {"maxillary": Words("maxillary"), "mandibular": Words("mandibular")}
# What a quantity can be at all, by its unit.
POSSIBLE_WORDS = {
    "mm": Words("{low} to {high} mm, with at most two decimals"),
    "deg": Words("{low} to {high} degrees, with at most two decimals"),
    "%": Words("{low} to {high} %, with at most two decimals"),
    "min": Words("{low} to {high} minutes, with at most two decimals"),
    "count": Words("{low} to {high} (a whole number)"),
}


@dataclass(frozen=True, kw_only=True)
class Quantity:
    """One thing that is measured. Ranges are inclusive, in `unit`; no arches: a figure of the patient."""

    name: str
    label: str
    unit: Unit
    landmarks: str
    taken_by: Taker
    stages: tuple[str, ...]
    arches: tuple[str, ...]
    cannot_be: tuple[Decimal, Decimal]
    unusual: tuple[Decimal, Decimal]
    negative: bool
    how: str
    source: Source

    @property
    def possible_in_words(self) -> str:
        low, high = self.cannot_be
        return POSSIBLE_WORDS[self.unit].of(low=figure(str(low)), high=figure(str(high)))

    def is_possible(self, value: Decimal) -> bool:
        return value.is_finite() and self.cannot_be[0] <= value <= self.cannot_be[1]

    def is_unusual(self, value: Decimal) -> bool:
        """Outside the usual range, so that the person is asked to look once more."""
        return not self.unusual[0] <= value <= self.unusual[1]


def entry(
    name: str,
    label: str,
    unit: Unit,
    *,
    between: str,
    how: str,
    stages: str,
    arches: tuple[str, ...],
    cannot_be: tuple[str, str],
    unusual: tuple[str, str],
    taken_by: Taker = "laboratory",
    source: Source = HOUSE_RANGE,
) -> Quantity:
    """One line of the catalogue; negative values make sense just where the possible range has them."""
    possible = Decimal(cannot_be[0]), Decimal(cannot_be[1])
    return Quantity(
        name=name,
        label=label,
        unit=unit,
        landmarks=between,
        taken_by=taken_by,
        stages=tuple(stages.split()),
        arches=arches,
        cannot_be=possible,
        unusual=(Decimal(unusual[0]), Decimal(unusual[1])),
        negative=possible[0] < 0,
        how=how,
        source=source,
    )
