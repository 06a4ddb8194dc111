"""What was found in the mouth as a change of the rims: the dimensions that one tap prescribes, by way.

Nothing is offered unless the rim was measured when it left the laboratory; what it becomes is the clinician's choice.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from labcases.pages.worked_out import Freeway, Made
from labcases.prosthodontics.millimetres import format_millimetres
from labcases.prosthodontics.specification.lines import with_unit
from labcases.prosthodontics.wording import figure

FRONT = "anterior_height"
# Where along the arch the rim's heights are measured, as regions of the hinge.
REGIONS = {FRONT: "incisor", "posterior_height_left": "molar", "posterior_height_right": "molar"}
SHORT = {
    FRONT: _("in front"),
    "posterior_height_left": _("behind left"),
    "posterior_height_right": _("behind right"),
}


@dataclass(frozen=True)
class Offer:
    """One way to change the rims: its words, and what it prescribes, mm by arch and dimension."""

    words: str
    dimensions: Mapping[tuple[str, str], Decimal]


def offers(
    *, shown: Decimal | None, wanted: Decimal | None, freeway: Freeway | None, made: Made
) -> dict[str, Offer]:
    """By name: "display" brings the upper rim's front to the display wanted, "lower" the freeway space to the middle
    of its range with the lower rim alone."""
    found = {"display": _display(shown, wanted, made), "lower": _lower(freeway, made)}
    return {name: offer for name, offer in found.items() if offer and offer.dimensions}


def _display(shown: Decimal | None, wanted: Decimal | None, made: Made) -> Offer | None:
    height = made.get(("maxillary", FRONT))
    if shown is None or wanted is None or height is None or shown == wanted:
        return None
    return _offer(
        gettext("Upper rim to the display wanted"), {("maxillary", FRONT): (height, wanted - shown)}
    )


def _lower(freeway: Freeway | None, made: Made) -> Offer | None:
    if freeway is None or freeway.is_inside:
        return None
    changes = {step.region: step.change for step in freeway.steps}
    rims = {
        ("mandibular", name): (made["mandibular", name], changes[region])
        for name, region in REGIONS.items()
        if ("mandibular", name) in made and changes.get(region)
    }
    return _offer(
        gettext("Lower rim to a freeway space of {value}").format(value=with_unit(freeway.aim, "mm")), rims
    )


def _offer(title: str, rims: Mapping[tuple[str, str], tuple[Decimal, Decimal]]) -> Offer:
    said = ", ".join(
        f"{SHORT[name]} {figure(format_millimetres(height))} {'−' if change < 0 else '+'} "
        f"{figure(format_millimetres(abs(change)))} = {with_unit(height + change, 'mm')}"
        for (_, name), (height, change) in rims.items()
    )
    return Offer(f"{title}: {said}", {place: height + change for place, (height, change) in rims.items()})
