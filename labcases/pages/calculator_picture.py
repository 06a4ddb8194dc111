"""What a calculator draws, as a picture for its page. On a screen a millimetre is no millimetre."""

from collections.abc import Mapping

import numpy as np
from django.utils.translation import gettext as _

from labcases.prosthodontics.calculators import Calculator, Result
from labcases.prosthodontics.calculators.cast import read_rim
from labcases.prosthodontics.calculators.inputs import read_document
from labcases.prosthodontics.outline import on_paper
from labcases.prosthodontics.strip import tooth_strip
from labcases.tickets.drawing import Drawing, Group, Stroke, View
from labcases.tickets.drawing.marks import EDGE, path
from labcases.tickets.drawing.true_size import as_drawing, rim_view, strip_view

MARGIN = 3.0


def picture_of(chosen: Calculator, document: Mapping[str, object], result: Result) -> Drawing | None:
    """The picture that belongs to a result, or None for a calculator that draws nothing."""
    if not result.drawing:
        return None
    given = read_document(document, chosen.inputs)
    if "crest" in result.drawing:
        arch = given.text("arch") if given.has("arch") else "maxillary"
        view = _curve(np.asarray(result.drawing["crest"]), arch)
    elif "ring" in result.drawing:
        view = rim_view(read_rim(given))
    else:
        strip = tooth_strip(
            read_rim(given),
            widths=given.numbers("tooth_widths"),
            length=given.number("tooth_length"),
            face_height=given.number("face_height"),
            resting_lip=given.maybe("incisal_display"),
            smiling_lip=given.maybe("smiling_display"),
        )
        view = strip_view(strip, given.text("arch"))
    return as_drawing(view, title=str(chosen.label), description=_("Drawn from the figures above."))


def _curve(points: np.ndarray, arch: str) -> View:
    turned = on_paper(points, arch)
    low, high = turned.min(axis=0) - MARGIN, turned.max(axis=0) + MARGIN
    stroke = Stroke(path(turned - low), EDGE)
    width, height = (float(side) for side in high - low)
    return View("", 0, 0, width, height, (Group(strokes=(stroke,)),))
