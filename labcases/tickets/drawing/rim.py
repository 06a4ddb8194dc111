"""The rim that a drawing shows: its figures, and the outline that follows from them."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from labcases.prosthodontics.outline import (
    CrestHeights,
    ImpossibleRim,
    RimOutline,
    RimPlan,
    outline_rim,
    papilla_point,
)
from labcases.tickets.drawing.crests import Crest, crest_for, nominal_crest
from labcases.tickets.drawing.facts import DrawingFacts
from labcases.tickets.drawing.labels import Label

# What is drawn where a specification has no figure, mm or degrees (common practice, no source).
USUAL: dict[str, dict[str, float]] = {
    "maxillary": {
        "anterior_height": 22.0,
        "posterior_height_left": 18.0,
        "posterior_height_right": 18.0,
        "anterior_width": 8.0,
        "posterior_width": 10.0,
        "labial_offset": 9.0,
        "labial_inclination": 95.0,
        "posterior_end_angle": 45.0,
    },
    "mandibular": {
        "anterior_height": 18.0,
        "posterior_height_left": 6.5,
        "posterior_height_right": 6.5,
        "anterior_width": 8.0,
        "posterior_width": 10.0,
        "labial_offset": 0.0,
        "labial_inclination": 92.0,
        "posterior_end_angle": 45.0,
    },
}
# From the sulcus to the crest in front, and from there to the crest at the molars, mm (from memory, drawing only).
SULCUS_TO_CREST = {"maxillary": (12.0, 10.0), "mandibular": (9.0, 0.0)}
PAPILLA_BEHIND_CREST = 2.0
TALLEST = 34.0


@dataclass(frozen=True)
class Rim:
    """`drawn` holds the figures that the lines are drawn with; labels show those of the specification."""

    facts: DrawingFacts
    drawn: dict[str, float]
    outline: RimOutline
    notes: tuple[str, ...]

    @property
    def is_upper(self) -> bool:
        return self.facts.arch == "maxillary"

    def label(self, name: str) -> Label | None:
        dimension = self.facts.dimensions.get(name)
        return Label(dimension) if dimension else None


def rim_from(facts: DrawingFacts) -> Rim:
    """The rim that the figures make; where they make none, the usual rim with a note that says so."""
    crest, usual = crest_for(facts), USUAL[facts.arch]
    drawn = {name: facts.size(name, otherwise=figure) for name, figure in usual.items()}
    try:
        if (
            max(drawn["anterior_height"], drawn["posterior_height_left"], drawn["posterior_height_right"])
            > TALLEST
        ):
            raise ImpossibleRim("height", "too high", f"at most {TALLEST:g} mm on this drawing")
        return Rim(facts, drawn, outline_rim(_plan(facts, drawn, crest)), (crest.words,))
    except ImpossibleRim as refused:
        crest = nominal_crest(facts.arch)
        words = _("The figures make no rim that can be drawn ({figure}); the lines show the usual one.")
        note = words.format(figure=refused.field)
        return Rim(facts, dict(usual), outline_rim(_plan(facts, usual, crest)), (crest.words, note))


def _plan(facts: DrawingFacts, drawn: dict[str, float], crest: Crest) -> RimPlan:
    front, left, right = _depths(facts)
    return RimPlan(
        arch=facts.arch,
        crest=crest.form,
        anterior_width=drawn["anterior_width"],
        posterior_width=drawn["posterior_width"],
        canine_left=crest.canine_left,
        canine_right=crest.canine_right,
        labial_offset=drawn["labial_offset"] if facts.arch == "maxillary" else None,
        papilla_reference=papilla_point(facts.papilla_reference),
        papilla_behind_crest=float(facts.cast.get("papilla_behind_crest", PAPILLA_BEHIND_CREST)),
        labial_inclination=drawn["labial_inclination"],
        heights=CrestHeights(
            anterior=max(drawn["anterior_height"] - front, 4.0),
            posterior_left=max(drawn["posterior_height_left"] - left, 3.0),
            posterior_right=max(drawn["posterior_height_right"] - right, 3.0),
        ),
        posterior_end_angle=drawn["posterior_end_angle"],
    )


def _depths(facts: DrawingFacts) -> tuple[float, float, float]:
    """From the sulcus to the crest in front, at the left and at the right molars: as read, or the usual ones."""
    front, back = SULCUS_TO_CREST[facts.arch]
    names = ("sulcus_to_crest", "posterior_sulcus_to_crest_left", "posterior_sulcus_to_crest_right")
    usual = (front, back, back)
    read = [float(facts.cast.get(name, depth)) for name, depth in zip(names, usual, strict=True)]
    return read[0], read[1], read[2]
