"""Checks across readings: what several figures say together and none of them alone."""

from collections.abc import Iterator
from math import degrees, hypot

from labcases.measurements.derivations.figures import CaseFigures
from labcases.measurements.derivations.lines import (
    COVERAGE,
    SIGNS,
    Block,
    Derived,
    as_given,
    derived,
    number,
)
from labcases.measurements.derivations.shapes import RimShape
from labcases.measurements.models import Reading
from labcases.prosthodontics.outline import RimOutline
from labcases.prosthodontics.plane import (
    asymmetry,
    drift,
    face_length,
    rim_plane,
    rims_against_space,
    rise,
)
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.quantities import QUANTITIES
from labcases.prosthodontics.wording import Words, in_a_sentence

DERIVED = Source(Words("geometry of the readings"), Provenance.DERIVED, "H")
ISO_17043 = Source("ISO/IEC 17043", Provenance.RECALLED, "H")
HEIGHTS = ("anterior_height", "posterior_height_left", "posterior_height_right")
# Dimensions that stages take again, so that a change between them can be told.
REPEATED_DIMENSIONS = (
    *HEIGHTS,
    "anterior_width",
    "posterior_width",
    "labial_offset",
    "labial_inclination",
    "base_thickness_crest",
    "base_thickness_palate",
    "base_thickness_lingual",
)
EXPANDED = 2.0
WIDTHS = ("tuberosity_width", "hamular_notch_width", "pad_to_pad_width")
TITLE = Words("Checks across readings")

HEIGHT_WORDS = {
    "maxillary": (Words("upper rim as measured"), Words("upper rim as specified")),
    "mandibular": (Words("lower rim as measured"), Words("lower rim as specified")),
}
FACE_UNEXPLAINED = Words(
    "{length} mm read along the face; {height} mm at {slope}° give {expected} mm: more than the readings explain."
)
FACE_WITHIN_SCATTER = Words(
    "{length} mm read along the face; {height} mm at {slope}° give {expected} mm: no more than they scatter."
)
# By whether the angle is positive.
PITCH_WORDS = {
    True: Words("{angle}° over {distance} mm from front to molars: lower in front."),
    False: Words("{angle}° over {distance} mm from front to molars: higher in front."),
}
CANT_WORDS = {
    True: Words("{angle}° over {distance} mm from side to side: the patient’s left lower."),
    False: Words("{angle}° over {distance} mm from side to side: the patient’s right lower."),
}


def checks_block(case: CaseFigures, shape: RimShape) -> Block:
    """Everything that the readings of one arch tell together; empty while too few are taken."""
    lines = (
        *_plane(case, shape),
        *(_left_and_right(case) if shape.arch == "maxillary" else ()),
        *_face(case, shape.arch),
        *_drifts(case, shape.arch),
    )
    return Block(title=TITLE, arch=shape.arch, lines=tuple(lines))


def space_block(case: CaseFigures) -> Block:
    """Both rims together against the space between the sulci, each as it was measured or else as specified."""
    space, upper, lower = (
        case.value("intersulcus_distance"),
        _height(case, "maxillary"),
        _height(case, "mandibular"),
    )
    if space is None or upper is None or lower is None:
        return Block(title=TITLE)
    found = rims_against_space(
        upper[0], lower[0], intersulcus_distance=space, u=(case.u("intersulcus_distance"), upper[1], lower[1])
    )
    line = derived(
        Words("Space left by both rims"),
        found.spare,
        "mm",
        u=found.u or None,
        why=Words(
            "{space} mm between the sulci less {upper} mm {upper_words} and {lower} mm {lower_words}. {found}"
        ).of(
            space=number(space),
            upper=number(upper[0]),
            upper_words=upper[2],
            lower=number(lower[0]),
            lower_words=lower[2],
            found=found.words,
        ),
        source=DERIVED,
    )
    given = as_given({"upper": upper[0], "lower": lower[0], "intersulcus_distance": space})
    return Block(title=TITLE, lines=(line,), calculator="rim_sum", given=given)


def _height(case: CaseFigures, arch: str) -> tuple[float, float, str] | None:
    """Anterior height, its standard uncertainty and in words where it comes from."""
    as_measured, as_specified = HEIGHT_WORDS[arch]
    measured = case.of(arch).get("anterior_height")
    if measured is not None:
        return float(measured.value), float(measured.u or 0), as_measured
    line = case.target("anterior_height", arch)
    if line is None or line.target is None:
        return None
    return float(line.target), float(line.uncertainty or 0), as_specified


def _plane(case: CaseFigures, shape: RimShape) -> Iterator[Derived]:
    """The plane of the rim against the one that is specified, from what its three heights are off."""
    outline, off = shape.outline, [_off(case, name, shape.arch) for name in HEIGHTS]
    if outline is None or any(each is None for each in off):
        return
    (front, u_front), (left, u_left), (right, u_right) = (each for each in off if each is not None)
    places = _three_places(outline)
    down = -1.0 if shape.arch == "maxillary" else 1.0
    plane = rim_plane(
        [(x, y, down * amount) for (x, y), amount in zip(places, (front, left, right), strict=True)]
    )
    deep, wide = places[0][1] - (places[1][1] + places[2][1]) / 2, places[1][0] - places[2][0]
    u_pitch = degrees(hypot(u_front, hypot(u_left, u_right) / 2) / deep)
    u_cant = degrees(hypot(u_left, u_right) / wide)
    off_targets = Words("Front {front}, left {left}, right {right} mm off their targets.").of(
        front=_signed(front), left=_signed(left), right=_signed(right)
    )
    why = f"{off_targets} {plane.words}"
    for label, angle, u in (
        (Words("Plane against the one specified, front to back"), plane.pitch, u_pitch),
        (Words("Plane against the one specified, left to right"), plane.cant, u_cant),
    ):
        yield derived(label, angle, "deg", u=u, why=why, source=DERIVED)


def _off(case: CaseFigures, name: str, arch: str) -> tuple[float, float] | None:
    """Measured less target, and its standard uncertainty, mm."""
    reading, line = case.taken_here(name, arch), case.target(name, arch)
    if reading is None or line is None or line.target is None:
        return None
    return float(reading.value - line.target), _u(reading)


def _three_places(outline: RimOutline) -> tuple[tuple[float, float], ...]:
    """Where the three heights are taken: at the midline's face, and over the molars on either side."""
    front = outline.station("midline").labial
    return front, outline.station("molar_left").middle, outline.station("molar_right").middle


def _left_and_right(case: CaseFigures) -> Iterator[Derived]:
    """Of the upper rim alone: the lower one follows its two pads, which are seldom equally high."""
    left, right = (case.taken_here(f"posterior_height_{side}", "maxillary") for side in ("left", "right"))
    between = next((width for name in WIDTHS if (width := case.value(name, "maxillary"))), None)
    if left is None or right is None or between is None:
        return
    found = asymmetry(
        float(left.value), float(right.value), between=between, u_left=_u(left), u_right=_u(right)
    )
    apart = Words("Taken {distance} mm apart.")
    yield derived(
        Words("Left against right, posterior height"),
        found.difference,
        "mm",
        u=found.u or None,
        why=f"{found.words} {apart.of(distance=number(between))}",
        source=DERIVED,
    )


def _face(case: CaseFigures, arch: str) -> Iterator[Derived]:
    """The length along the labial face that was read, against the one that height and slope give."""
    length, height, slope = (
        case.taken_here(name, arch)
        for name in ("anterior_face_length", "anterior_height", "labial_inclination")
    )
    if length is None or height is None or slope is None:
        return
    expected = face_length(float(height.value), inclination=float(slope.value))
    difference, u = float(length.value) - expected, hypot(_u(length), _u(height))
    words = FACE_UNEXPLAINED if abs(difference) > COVERAGE * u else FACE_WITHIN_SCATTER
    yield derived(
        Words("Labial face, length against height and slope"),
        difference,
        "mm",
        u=u or None,
        why=words.of(
            length=number(length.value),
            height=number(height.value),
            slope=number(slope.value),
            expected=number(expected),
        ),
        source=DERIVED,
    )


def _drifts(case: CaseFigures, arch: str) -> Iterator[Derived]:
    """The same dimension at an earlier stage or visit: E_n beyond 1 is a change that the readings don't explain."""
    for name in REPEATED_DIMENSIONS:
        now, before = case.taken_here(name, arch), case.taken_before(name, arch)
        if now is None or before is None or not hypot(_u(now), _u(before)):
            continue
        found = drift(
            float(before.value),
            float(now.value),
            expanded_earlier=EXPANDED * _u(before),
            expanded_later=EXPANDED * _u(now),
        )
        yield Derived(
            label=Words("{figure} since {stage}").of(
                figure=_label(now), stage=in_a_sentence(before.stage.label)
            ),
            figure=_signed(found.difference),
            sign=SIGNS.get(now.unit, f" {now.unit}"),
            why=str(found.words),
            source=str(ISO_17043.words),
        )


def plane_found_block(case: CaseFigures, distance: float | None) -> Block:
    """What the clinician's finding of the plane means behind: a tilt over the depth and the width of the arch."""
    pitch, cant = (case.value(name, "maxillary") for name in ("plane_pitch", "plane_cant"))
    width = next((w for name in WIDTHS if (w := case.value(name, "maxillary"))), None)
    lines = []
    if pitch and distance:
        why = PITCH_WORDS[pitch > 0].of(angle=number(abs(pitch)), distance=number(distance))
        lines.append(_tilt(Words("Plane as found, front to back"), rise(distance, tilt=pitch), why))
    if cant and width:
        why = CANT_WORDS[cant > 0].of(angle=number(abs(cant)), distance=number(width))
        lines.append(_tilt(Words("Plane as found, left to right"), rise(width, tilt=cant), why))
    point = case.schools.words("tragus_point")
    against = Words("Pitch is against the line from ala to tragus; point of the tragus: {point}.")
    remarks = (against.of(point=point),) if pitch and distance else ()
    return Block(title=Words("The plane as the clinician found it"), lines=tuple(lines), remarks=remarks)


def _tilt(label: str, amount: float, why: str) -> Derived:
    return derived(label, amount, "mm", why=why, source=DERIVED)


def _u(reading: Reading) -> float:
    return float(reading.uncertainty or 0)


def _label(reading: Reading) -> str:
    return str(QUANTITIES[reading.quantity].label)


def _signed(value: float) -> str:
    text = number(value, 2)
    return text if value <= 0 else f"+{text}"
