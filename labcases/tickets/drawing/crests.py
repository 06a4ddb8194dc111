"""The curve that a rim, tray or base is drawn on: the patient's own where the cast was measured, else a nominal one."""

from dataclasses import dataclass

from labcases.prosthodontics.arch import ArchForm, CastMeasurements, arch_from_cast
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.tickets.drawing.facts import CrestFacts, DrawingFacts

NOMINAL_SOURCE = Source(
    "middle of the usual range on edentulous casts, for drawing only", Provenance.MEMORY, "L"
)
NOT_THIS_PATIENT = "Not this patient’s arch: drawn on a nominal curve."
FROM_THE_CAST = "Drawn on the arch measured on this patient’s cast."
# Beyond this a drawing at full size has no room on the sheet.
WIDEST_MM, DEEPEST_MM = 64.0, 52.0


@dataclass(frozen=True)
class Crest:
    """An arch form with its canine points, mm from the midline, and in words whose it is."""

    form: ArchForm
    canine: float
    words: str


# Width between the posterior landmarks, depth, width and depth at the canines, mm (NOMINAL_SOURCE).
NOMINAL = {"maxillary": (48.0, 44.0, 33.0, 10.5), "mandibular": (54.0, 42.0, 27.0, 6.5)}


def crest_for(facts: DrawingFacts) -> Crest:
    """The crest to draw on. A cast whose figures make no arch, or one larger than the sheet, gives the nominal one."""
    if facts.crest is None:
        return nominal_crest(facts.arch)
    width, depth = float(facts.crest.posterior_width), float(facts.crest.depth)
    if width > WIDEST_MM or depth > DEEPEST_MM:
        return nominal_crest(facts.arch)
    try:
        cast = CastMeasurements.symmetric(facts.arch, posterior_width=width, depth=depth)
        return Crest(arch_from_cast(cast), _canine(facts.crest, width), FROM_THE_CAST)
    except InputError:
        return nominal_crest(facts.arch)


def nominal_crest(arch: str) -> Crest:
    width, depth, canines, canine_depth = NOMINAL[arch]
    cast = CastMeasurements.symmetric(
        arch, posterior_width=width, depth=depth, canine_width=canines, canine_depth=canine_depth
    )
    return Crest(arch_from_cast(cast), canines / 2, NOT_THIS_PATIENT)


def _canine(crest: CrestFacts, width: float) -> float:
    return min(max(float(crest.canine_width) / 2, 6.0), 0.44 * width)
