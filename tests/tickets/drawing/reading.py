"""Path data as a reader of fonts' drawings reads it, which knows nothing of ours."""

from fontTools.pens.recordingPen import RecordingPen
from fontTools.svgLib.path import parse_path


def places_of(d: str) -> list[tuple[float, float]]:
    """Every place that path data names, in millimetres: corners, and the handles of curves."""
    pen = RecordingPen()
    parse_path(d, pen)
    return [place for _, places in pen.value for place in places]
