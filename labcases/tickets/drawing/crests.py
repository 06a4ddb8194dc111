"""The curve that the work is drawn on: the patient's own where the cast was measured, else a nominal one."""

from dataclasses import dataclass

from labcases.prosthodontics.arch import ArchForm, CastMeasurements, SideMeasurements, arch_from_cast
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.outline.from_figures import cast_from_figures, missing_figures
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words
from labcases.tickets.drawing.facts import DrawingFacts

NOMINAL_SOURCE = Source(
    Words("middle of the usual range on edentulous casts, for drawing only"), Provenance.MEMORY, "L"
)
NOT_THIS_PATIENT = Words("Not this patient’s arch: drawn on a nominal curve.")
FROM_THE_CAST = Words("Drawn on the arch measured on this patient’s cast.")
# Beyond this a drawing at full size has no room on the sheet.
WIDEST_MM, DEEPEST_MM = 62.0, 56.0
# Width between the posterior landmarks, depth, width and depth at the canines, mm (NOMINAL_SOURCE).
NOMINAL = {"maxillary": (48.0, 44.0, 33.0, 10.5), "mandibular": (54.0, 42.0, 27.0, 6.5)}


@dataclass(frozen=True)
class Crest:
    """An arch form with its canine points, mm from the midline, and in words whose it is."""

    form: ArchForm
    canine_left: float
    canine_right: float
    words: str

    @property
    def canine(self) -> float:
        """Half the width between the canine points, mm."""
        return (self.canine_left + self.canine_right) / 2


def crest_for(facts: DrawingFacts) -> Crest:
    """The crest to draw on. A cast that makes no arch, or one larger than the sheet, gives the nominal one."""
    if missing_figures(facts.arch, facts.cast):
        return nominal_crest(facts.arch)
    try:
        cast = cast_from_figures(facts.arch, {name: float(value) for name, value in facts.cast.items()})
        crest = _crest(cast, FROM_THE_CAST, corrected=facts.corrected)
    except InputError:
        return nominal_crest(facts.arch)
    width = cast.left.half_width + cast.right.half_width
    too_large = width > WIDEST_MM or cast.left.depth > DEEPEST_MM
    return nominal_crest(facts.arch) if too_large else crest


def nominal_crest(arch: str) -> Crest:
    width, depth, canines, canine_depth = NOMINAL[arch]
    cast = CastMeasurements.symmetric(
        arch, posterior_width=width, depth=depth, canine_width=canines, canine_depth=canine_depth
    )
    return _crest(cast, NOT_THIS_PATIENT)


def _crest(cast: CastMeasurements, words: str, *, corrected: bool = False) -> Crest:
    form = arch_from_cast(cast, corrected=corrected)
    return Crest(form, _canine(cast.left), _canine(cast.right), words)


def _canine(side: SideMeasurements) -> float:
    return min(side.canine_half_width or 0.3 * side.half_width, 0.88 * side.half_width)
