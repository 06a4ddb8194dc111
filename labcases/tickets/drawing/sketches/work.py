"""A piece of work as the delivered standard would have it, for pages that explain what it is."""

from functools import cache

from django.utils.translation import get_language

from labcases.prosthodontics.specification.base import specify_record_base
from labcases.prosthodontics.specification.lines import Specification, figure
from labcases.prosthodontics.specification.rims import specify_rims
from labcases.prosthodontics.specification.tray import specify_tray
from labcases.prosthodontics.standard import HOUSE_STANDARD
from labcases.tickets.drawing.compose import draw_work
from labcases.tickets.drawing.facts import DimensionFacts, DrawingFacts
from labcases.tickets.drawing.marks import Drawing

ARCH = "maxillary"


def usual_work(kind: str) -> Drawing | None:
    """The upper tray, base or rim of no patient in particular; None for a kind that is not drawn."""
    return _usual_work(kind, get_language())


@cache
def _usual_work(kind: str, language: str | None) -> Drawing | None:
    # Its words are laid out as they are drawn: a drawing is kept for readers of one language.
    specification = _specified(kind)
    if specification is None:
        return None
    lines = {
        line.name: DimensionFacts(
            name=line.name,
            label=line.label,
            target=line.target,
            figure="" if line.target is None else figure(line.target, line.unit),
            unit=line.unit,
            limits=line.limits_in_words.strip(" ()"),
            wording=line.wording,
        )
        for line in specification.dimensions
    }
    return draw_work(DrawingFacts(kind=kind, arch=ARCH, dimensions=lines), form="narrow")


def _specified(kind: str) -> Specification | None:
    known = {"figures": {}, "prescribed": {}, "standard": HOUSE_STANDARD}
    if kind == "custom_tray":
        return specify_tray(ARCH, impression_material="silicone", **known)
    specify = {"record_base": specify_record_base, "occlusion_rims": specify_rims}.get(kind)
    return specify(ARCH, **known) if specify else None
