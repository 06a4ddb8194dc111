"""The tooth-outline strip: the rim's labial face, flat and at true size, with the front teeth drawn on it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from labcases.prosthodontics.arch.halves import Array
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.millimetres import MINUS
from labcases.prosthodontics.outline.rim import RimOutline
from labcases.prosthodontics.strip.toothforms import FORMS, Form, tooth_outline
from labcases.prosthodontics.strip.unrolling import Unrolled, unroll
from labcases.prosthodontics.teeth.crowns import length_ratio
from labcases.prosthodontics.wording import Words, figure

MARGIN = 4.0
TOOTH_WIDTHS = (3.0, 14.0)
TOOTH_LENGTHS = (4.0, 16.0)
# How far the edge of an upper lateral stands above the occlusal plane, mm (common practice, no source).
LATERAL_LIFT = 0.5
# Two-digit numbers by ISO 3950, from the midline outwards.
NUMBERS = {
    "maxillary": {"right": (11, 12, 13, 14, 15), "left": (21, 22, 23, 24, 25)},
    "mandibular": {"right": (41, 42, 43, 44, 45), "left": (31, 32, 33, 34, 35)},
}


@dataclass(frozen=True)
class StripTooth:
    """One tooth on the strip: its number, where it starts and ends along the rim's edge (mm), its outline."""

    number: int
    start: float
    end: float
    outline: Array


@dataclass(frozen=True)
class Strip:
    """Everything that is drawn on the strip, polylines in mm (X to the patient's left, Y towards the ridge).

    marks: midline, canine_right, canine_left. lip_lines: resting and smiling, where recorded.
    folds: one line between each two teeth and one beyond the last on each side, dashed in a drawing.
    """

    unrolled: Unrolled
    outline: Array
    marks: Mapping[str, Array]
    lip_lines: Mapping[str, Array]
    folds: tuple[Array, ...]
    teeth: tuple[StripTooth, ...]
    notes: tuple[str, ...]

    @property
    def arc_length(self) -> float:
        """Length of the strip along its occlusal edge, mm; the same as on the rim."""
        return float(self.unrolled.arc[-1] - self.unrolled.arc[0])


def tooth_strip(
    outline: RimOutline,
    *,
    widths: Sequence[float],
    length: float,
    face_height: float,
    resting_lip: float | None = None,
    smiling_lip: float | None = None,
) -> Strip:
    """The strip for a rim.

    widths: three to five mesiodistal widths (mm) from the central outwards, the same on both sides: six,
    eight or ten teeth. length: of the central's crown (mm), from which the
    others follow in the proportion of average crowns. face_height: vertical height (mm) of the labial face
    to be covered. resting_lip, smiling_lip: how far the edge shows below each lip line, vertical mm;
    negative where the lip covers the edge, and no line can be drawn.
    """
    _check_teeth(widths, length)
    canines = _canine_arcs(outline)
    last = sum(widths)
    half_length = max(last, *canines.values()) + MARGIN
    flat = unroll(outline, half_length=_shortened(outline, half_length, last), height=face_height)
    marks = {"midline": flat.ruling(0.0)}
    for side, sign in (("right", -1.0), ("left", 1.0)):
        marks[f"canine_{side}"] = flat.ruling(sign * canines[side])
    teeth = _teeth(flat, outline.plan.arch, widths, length)
    lips, notes = _lip_lines(flat, resting=resting_lip, smiling=smiling_lip)
    folds = tuple(flat.ruling(arc) for arc in _folds(widths))
    notes += _fit(widths, canines)
    return Strip(flat, flat.outline, MappingProxyType(marks), MappingProxyType(lips), folds, teeth, notes)


def _check_teeth(widths: Sequence[float], length: float) -> None:
    if not 3 <= len(widths) <= 5:
        raise InputError(
            "tooth_widths", len(widths), Words("three, four or five widths from the central outwards")
        )
    low, high = TOOTH_WIDTHS
    for width in widths:
        if not low <= width <= high:
            raise InputError(
                "tooth_widths", round(width, 2), Words("{low:g} to {high:g} mm each").of(low=low, high=high)
            )
    low, high = TOOTH_LENGTHS
    if not low <= length <= high:
        raise InputError(
            "tooth_length", round(length, 2), Words("{low:g} to {high:g} mm").of(low=low, high=high)
        )


def _canine_arcs(outline: RimOutline) -> dict[str, float]:
    return {
        "right": outline.labial_arc(-outline.right.canine, 0.0),
        "left": outline.labial_arc(0.0, outline.left.canine),
    }


def _shortened(outline: RimOutline, wanted: float, last: float) -> float:
    """The margin beyond the last tooth gives way where the rim ends; the teeth themselves do not."""
    reach = min(
        outline.labial_arc(-outline.right.table_end, 0.0), outline.labial_arc(0.0, outline.left.table_end)
    )
    if last > reach:
        raise InputError(
            "tooth_widths",
            round(last, 2),
            Words("a sum of at most {reach:.1f} mm to each side on this rim").of(reach=reach),
        )
    return min(wanted, reach - 0.01)


def _folds(widths: Sequence[float]) -> list[float]:
    ends = np.cumsum(widths)
    return [*(-end for end in ends[::-1]), 0.0, *ends]


def _teeth(flat: Unrolled, arch: str, widths: Sequence[float], length: float) -> tuple[StripTooth, ...]:
    teeth = []
    for side, sign in (("right", -1.0), ("left", 1.0)):
        start = 0.0
        for number, form, width in zip(NUMBERS[arch][side], FORMS, widths, strict=False):
            shape = _shape(arch, number % 10, form, width=width, length=length)
            arc = sign * (start + width / 2 + shape[:, 0])
            first, end = sorted((sign * start, sign * (start + width)))
            teeth.append(StripTooth(number, first, end, flat.place(arc, shape[:, 1])))
            start += width
    return tuple(sorted(teeth, key=lambda tooth: tooth.start))


def _shape(arch: str, place: int, form: Form, *, width: float, length: float) -> Array:
    shape = tooth_outline(form, width=width, length=length * length_ratio(arch, place))
    lift = LATERAL_LIFT if arch == "maxillary" and place == 2 else 0.0
    lifted: Array = shape + np.array([0.0, lift])
    return lifted


@dataclass(frozen=True)
class _Lip:
    covers: Words
    beyond: Words


_RESTING = _Lip(
    Words("The resting lip covers the edge by {hidden:.1f} mm, so its line is not on the strip."),
    Words("The resting lip line lies {shown:.1f} mm above the edge, beyond the top of the strip."),
)
_SMILING = _Lip(
    Words("The smiling lip covers the edge by {hidden:.1f} mm, so its line is not on the strip."),
    Words("The smiling lip line lies {shown:.1f} mm above the edge, beyond the top of the strip."),
)


def _lip_lines(
    flat: Unrolled, *, resting: float | None, smiling: float | None
) -> tuple[dict[str, Array], tuple[str, ...]]:
    lines, notes = {}, []
    slope = float(np.sin(np.radians(flat.inclination)))
    for name, lip, shown in (
        ("resting", _RESTING, resting),
        ("smiling", _SMILING, smiling),
    ):
        if shown is None:
            continue
        if 0 <= shown <= flat.face * slope:
            lines[name] = flat.along(shown / slope)
        elif shown < 0:
            notes.append(lip.covers.of(hidden=-shown))
        else:
            notes.append(lip.beyond.of(shown=shown))
    return lines, tuple(notes)


def _fit(widths: Sequence[float], canines: Mapping[str, float]) -> tuple[str, ...]:
    """How the six front teeth stand to the canine lines: once where both sides are alike, else side by side."""
    three = sum(widths[:3])
    said = {side: _against(three, canines[side]) for side in ("right", "left")}
    if said["right"] == said["left"]:
        return (Words("On either side {standing}").of(standing=said["left"]),)
    right, left = Words("On the right {standing}"), Words("On the left {standing}")
    return right.of(standing=said["right"]), left.of(standing=said["left"])


def _against(three: float, canine: float) -> str:
    spare = round(canine - three, 1) + 0.0
    return Words(
        "three teeth take {three:.1f} mm; the canine line is {canine:.1f} mm from the midline along the "
        "rim ({spare} mm)."
    ).of(three=three, canine=canine, spare=figure(f"{spare:+.1f}".replace("-", MINUS)))
