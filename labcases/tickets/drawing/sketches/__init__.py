"""Small drawings of what a figure is, one for each figure that the clinic takes; the measured distance is a group."""

from functools import cache

from django.utils.translation import get_language

from labcases.prosthodontics.quantities import quantity
from labcases.tickets.drawing.marks import Drawing, Group, View
from labcases.tickets.drawing.sketches.casts import CASTS
from labcases.tickets.drawing.sketches.curves import HEIGHT, WIDTH
from labcases.tickets.drawing.sketches.face import FACES
from labcases.tickets.drawing.sketches.lips import LIPS
from labcases.tickets.drawing.sketches.profile import PROFILES
from labcases.tickets.drawing.sketches.rims import RIMS

__all__ = ["SKETCHED", "sketch_of"]

_SCENES = FACES | LIPS | RIMS | PROFILES | CASTS
SKETCHED = tuple(_SCENES)
# Scenes that hang from the top of their own paper stand in the middle of it.
_DROP = dict.fromkeys(LIPS, 5.0) | {"sulcus_to_papilla": 10.0}


def sketch_of(name: str) -> Drawing | None:
    """What a quantity is, drawn; None where it has no drawing. Its text equal is the quantity's landmarks."""
    return _sketch_of(name, get_language())


@cache
def _sketch_of(name: str, language: str | None) -> Drawing | None:
    scene = _SCENES.get(name)
    if scene is None:
        return None
    kind, (around, measured) = quantity(name), scene()
    groups = (Group(strokes=tuple(around)), Group(strokes=tuple(measured), dimension=name))
    view = View(kind.label, 0, _DROP.get(name, 0.0), WIDTH, HEIGHT, groups)
    return Drawing(WIDTH, HEIGHT, kind.label, kind.landmarks, (view,))
