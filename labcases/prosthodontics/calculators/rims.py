"""Calculators of the occlusion rims."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from labcases.prosthodontics.calculators.cast import CAST_INPUTS, RIM_INPUTS, read_rim
from labcases.prosthodontics.calculators.definition import Calculator, Check
from labcases.prosthodontics.calculators.inputs import Given, Kind, choice, number, series
from labcases.prosthodontics.calculators.results import Result, Table, Value
from labcases.prosthodontics.calculators.sources import DERIVED, FOR_CLINICIAN
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.materials.wax import (
    SHEET_SOURCE,
    SHEET_THICKNESS,
    WAX_DENSITY,
    WAX_DENSITY_SOURCE,
    segment_volume,
    strip_length,
    wax_mass,
)
from labcases.prosthodontics.outline import (
    PapillaPoint,
    RimOutline,
    convert_offset,
    front_view,
    rim_volume,
    section,
    side_view,
)
from labcases.prosthodontics.papilla import LABIAL_FACE_MEANS, TABRIZ, TABRIZ_STEPS
from labcases.prosthodontics.plane import face_length
from labcases.prosthodontics.strip import Strip, tooth_strip
from labcases.prosthodontics.wording import Words, figure


def _outline(given: Given) -> Result:
    outline = read_rim(given)
    volume, density = rim_volume(outline), given.number("wax_density")
    plan = outline.plan
    values = (
        Value("area", Words("Area of the occlusal surface"), outline.area, "mm²", 1, DERIVED),
        Value("volume", Words("Wax over the crest"), volume, "mm³", 0, DERIVED),
        Value(
            "wax_mass",
            Words("Mass of that wax"),
            wax_mass(volume, density=density),
            "g",
            2,
            WAX_DENSITY_SOURCE,
        ),
        Value(
            "canine_arc",
            Words("Arc of the labial edge between the canine lines"),
            outline.arc_between_canine_lines,
            "mm",
            2,
            DERIVED,
        ),
        Value(
            "canine_chord",
            Words("Straight distance between the canine lines"),
            outline.chord_between_canine_lines,
            "mm",
            2,
            DERIVED,
        ),
        Value(
            "tongue_space",
            Words("Between the lingual edges at the posterior ends"),
            outline.tongue_space,
            "mm",
            2,
            DERIVED,
        ),
        Value(
            "shift",
            Words("Middle of the rim in front of the crest at the midline"),
            plan.shift,
            "mm",
            2,
            DERIVED,
        ),
    )
    steps = (
        _shift_words(outline),
        Words(
            "Width {anterior_width:g} mm to the canine lines, growing to {posterior_width:g} mm in the "
            "molar region; centred over the crest behind the canine lines."
        ).of(anterior_width=plan.anterior_width, posterior_width=plan.posterior_width),
        Words("Mass: {volume:.0f} mm³ × {density:g} g/cm³ / 1000 = {mass:.2f} g.").of(
            volume=volume, density=density, mass=wax_mass(volume, density=density)
        ),
    )
    return Result(values, steps, outline.notes, (_stations(outline),), rim_drawing(outline))


def _shift_words(outline: RimOutline) -> str:
    plan = outline.plan
    if plan.labial_offset is None:
        return str(Words("No labial offset given: the rim is centred over the crest in front too."))
    return Words(
        "Labial face {labial_offset:g} mm in front of the {papilla}; the rim's middle lies {shift:+.2f} "
        "mm from the crest at the midline."
    ).of(labial_offset=plan.labial_offset, papilla=plan.papilla_reference.words, shift=plan.shift)


_STATION_WORDS = {
    "midline": Words("midline"),
    "front_left": Words("front left"),
    "canine_left": Words("canine left"),
    "premolar_left": Words("premolar left"),
    "molar_left": Words("molar left"),
    "end_left": Words("end left"),
    "front_right": Words("front right"),
    "canine_right": Words("canine right"),
    "premolar_right": Words("premolar right"),
    "molar_right": Words("molar right"),
    "end_right": Words("end right"),
}


def _stations(outline: RimOutline) -> Table:
    rows = tuple(
        (_STATION_WORDS[each.name], round(each.s, 2), round(each.width, 2), round(each.height, 2))
        for each in outline.stations
    )
    return Table(
        Words("Along the rim"),
        (
            Words("station"),
            Words("along the crest in mm"),
            Words("width in mm"),
            Words("wax over the crest in mm"),
        ),
        rows,
    )


def rim_drawing(outline: RimOutline) -> dict[str, object]:
    """Everything to draw of a rim, polylines in mm: from above, front, both sides and two sections."""
    front = front_view(outline)
    marks = {each.name: np.array([each.lingual, each.labial]) for each in outline.stations}
    papilla = (
        [] if outline.papilla is None else [np.array([outline.papilla, outline.station("midline").labial])]
    )
    return {
        "ring": outline.ring,
        "labial": outline.labial,
        "lingual": outline.lingual,
        "width_marks": marks,
        "midline": marks["midline"],
        "canine_lines": {side: marks[f"canine_{side}"] for side in ("right", "left")},
        "papilla": papilla,
        "front": {
            "outline": front.outline,
            "midline": front.midline,
            "canine_lines": {"right": front.canine_right, "left": front.canine_left},
        },
        "sides": {side: side_view(outline, side).outline for side in ("left", "right")},
        "sections": {
            "midline": section(outline, 0.0).outline,
            "molar_left": section(outline, outline.left.molar).outline,
            "molar_right": section(outline, -outline.right.molar).outline,
        },
    }


def strip_drawing(strip: Strip) -> dict[str, object]:
    """Everything to draw of a strip, polylines in mm."""
    return {
        "outline": strip.outline,
        "marks": dict(strip.marks),
        "lip_lines": dict(strip.lip_lines),
        "folds": list(strip.folds),
        "teeth": {str(tooth.number): tooth.outline for tooth in strip.teeth},
    }


def _strip(given: Given) -> Result:
    outline = read_rim(given)
    strip = tooth_strip(
        outline,
        widths=given.numbers("tooth_widths"),
        length=given.number("tooth_length"),
        face_height=given.number("face_height"),
        resting_lip=given.maybe("incisal_display"),
        smiling_lip=given.maybe("smiling_display"),
    )
    six = 2 * sum(given.numbers("tooth_widths")[:3])
    values = (
        Value(
            "strip_length", Words("Length of the strip along its edge"), strip.arc_length, "mm", 2, DERIVED
        ),
        Value(
            "strip_height", Words("Height of the strip along the face"), strip.unrolled.face, "mm", 2, DERIVED
        ),
        Value(
            "canine_arc",
            Words("Arc between the canine lines on this rim"),
            outline.arc_between_canine_lines,
            "mm",
            2,
            DERIVED,
        ),
        Value("six_teeth", Words("Six front teeth together"), six, "mm", 2, DERIVED),
    )
    steps = (
        Words("Height along the face: {face_height:g} mm / sin({inclination:g}°) = {face:.2f} mm.").of(
            face_height=given.number("face_height"),
            inclination=strip.unrolled.inclination,
            face=strip.unrolled.face,
        ),
        str(
            Words(
                "Laid flat without stretching: the edge bends by the rim's own curvature times the cosine "
                "of the inclination."
            )
        ),
    )
    cautions = (Words("Tooth outlines show size and place, not the form of a mould."), FOR_CLINICIAN)
    return Result(values, steps, (*strip.notes, *outline.notes, *cautions), (), strip_drawing(strip))


def _papilla(given: Given) -> Result:
    start, end = PapillaPoint(given.text("from_point")), PapillaPoint(given.text("to_point"))
    offset = given.number("offset")
    converted = convert_offset(offset, start, end)
    mean, spread = LABIAL_FACE_MEANS[end]
    values = (
        Value(
            "offset",
            Words("Labial face from the {papilla}").of(papilla=end.words),
            converted,
            "mm",
            2,
            TABRIZ_STEPS,
        ),
        Value(
            "published_mean",
            Words("Published mean from the {papilla}, natural teeth").of(papilla=end.words),
            mean,
            "mm",
            2,
            TABRIZ,
        ),
        Value("published_spread", Words("Its standard deviation"), spread, "mm", 2, TABRIZ),
    )
    step = figure(f"{offset:g} + ({mean:g} − {LABIAL_FACE_MEANS[start][0]:g}) = {converted:.2f} mm")
    return Result(
        values, (step,), (Words("Differences of group means; holds within one patient only roughly."),)
    )


def _face(given: Given) -> Result:
    height, inclination = given.number("height"), given.number("inclination")
    length = face_length(height, inclination=inclination)
    step = figure(f"{height:g} mm / sin({inclination:g}°) = {length:.2f} mm")
    return Result(
        (Value("face_length", Words("Length along the labial face"), length, "mm", 2, DERIVED),), (step,)
    )


def _wax(given: Given) -> Result:
    segments = given.rows("segments")
    if any(len(segment) != 3 for segment in segments):
        raise InputError("segments", segments, Words("length, width and height in mm for each"))
    volume = segment_volume((a, b, c) for a, b, c in segments)
    density, thickness = given.number("density"), given.number("sheet_thickness")
    mean_width = sum(length * width for length, width, _ in segments) / sum(
        length for length, _, _ in segments
    )
    values = (
        Value("volume", Words("Volume of the rim"), volume, "mm³", 0, DERIVED),
        Value(
            "wax_mass", Words("Mass of wax"), wax_mass(volume, density=density), "g", 2, WAX_DENSITY_SOURCE
        ),
        Value(
            "strip_length",
            Words("Strip {mean_width:.1f} mm wide cut from the sheet").of(mean_width=mean_width),
            strip_length(volume, width=mean_width, thickness=thickness),
            "mm",
            0,
            SHEET_SOURCE,
        ),
    )
    parts = " + ".join(f"{a:g}×{b:g}×{c:g}" for a, b, c in segments)
    return Result(
        values,
        (figure(f"{parts} = {volume:.0f} mm³"), figure(f"{volume:.0f} mm³ × {density:g} g/cm³ / 1000")),
    )


def _printer(given: Given) -> Result:
    measured, printed = given.number("measured"), given.number("scale")
    bar = given.number("bar")
    scale = printed * bar / measured
    step = figure(f"{printed:g} % × {bar:g} mm / {measured:g} mm = {scale:.1f} %")
    fits = abs(measured - bar) <= BAR_TOLERANCE * bar
    words = (
        str(Words("The bar is true: leave the printer as it is."))
        if fits
        else Words("Print at {scale:.1f} % and measure again.").of(scale=scale)
    )
    value = Value("scale", Words("Scale to set at the printer"), scale, "%", 1, DERIVED)
    return Result((value,), (step, words), (Words("Measure both bars: a printer may stretch one way only."),))


STRIP_INPUTS = (
    series("tooth_widths", Words("Widths of three to five teeth from the central outwards"), "mm", 3, 14),
    number("tooth_length", Words("Crown length of the central"), "mm", 4, 16),
    number("face_height", Words("Vertical height of the labial face to cover"), "mm", 4, 40),
    number("incisal_display", Words("Edge below the resting lip"), "mm", -10, 15, optional=True),
    number("smiling_display", Words("Edge below the smiling lip"), "mm", -10, 25, optional=True),
)
# A bar that is off by less than this part is taken as true (the house's choice): a caliper's jaw on paper.
BAR_TOLERANCE = 0.002
_CAST: Mapping[str, object] = {
    "arch": "maxillary",
    "arch_width": 50,
    "arch_depth": 46,
    "canine_eminence_width": 32,
    "canine_eminence_depth": 9,
    "labial_offset": 8.5,
    "papilla_behind_crest": 2,
    "labial_inclination": 100,
}

CALCULATORS = (
    Calculator(
        "rim_outline",
        Words("Occlusion rim from above, at true size"),
        "rims",
        Words("Outline, widths, canine lines, wax over the crest, and the views to draw it from."),
        (
            *CAST_INPUTS,
            *RIM_INPUTS,
            number("wax_density", Words("Density of the wax"), "g/cm³", 0.8, 1.1, default=WAX_DENSITY),
        ),
        _outline,
        _CAST,
        (Check("shift", 2.5, 0.001, DERIVED),),
    ),
    Calculator(
        "tooth_strip",
        Words("Tooth-outline strip for the labial face"),
        "rims",
        Words(
            "The labial face laid flat at true size with midline, canine lines, lip lines and front teeth."
        ),
        (*CAST_INPUTS, *RIM_INPUTS, *STRIP_INPUTS),
        _strip,
        {
            **_CAST,
            "tooth_widths": [8.5, 6.5, 7.5],
            "tooth_length": 10.5,
            "face_height": 14,
            "incisal_display": 1,
        },
        (Check("six_teeth", 45.0, 0.001, DERIVED), Check("strip_height", 14.216, 0.005, DERIVED)),
    ),
    Calculator(
        "printer_scale",
        Words("Printer scale from the printed bar"),
        "rims",
        Words("What to set at the printer so that a sheet at true size is true."),
        (
            number("measured", Words("The bar measures on paper"), "mm", 20, 300),
            number("bar", Words("The bar should measure"), "mm", 20, 200, default=100.0),
            number("scale", Words("Scale that it was printed at"), "%", 25, 400, default=100.0),
        ),
        _printer,
        {"measured": 97},
        (Check("scale", 103.09, 0.05, DERIVED),),
    ),
    Calculator(
        "papilla_offset",
        Words("Papilla to labial face from another point of the papilla"),
        "rims",
        Words("Restates a distance from the anterior border, the centre or the posterior border."),
        (
            number("offset", Words("Distance to the labial face"), "mm", 0, 20),
            choice("from_point", Words("Measured from"), list(PapillaPoint)),
            choice("to_point", Words("Wanted from"), list(PapillaPoint)),
        ),
        _papilla,
        {"offset": 8.54, "from_point": "centre", "to_point": "posterior_border"},
        (Check("offset", 10.28, 0.001, TABRIZ),),
    ),
    Calculator(
        "face_length",
        Words("Length along an inclined labial face"),
        "rims",
        Words("What a vertical height becomes when it is measured along the face."),
        (
            number("height", Words("Vertical height"), "mm", 1, 60),
            number("inclination", Words("Labial face to the occlusal plane"), "deg", 45, 135),
        ),
        _face,
        {"height": 22, "inclination": 105},
        (Check("face_length", 22.776, 0.005, DERIVED),),
    ),
    Calculator(
        "rim_wax",
        Words("Wax for a rim from its segments"),
        "rims",
        Words("Volume, mass and the length of a strip cut from a sheet."),
        (
            series(
                "segments", Words("Length, width and height of each segment"), "mm", 0.5, 120, kind=Kind.ROWS
            ),
            number("density", Words("Density of the wax"), "g/cm³", 0.8, 1.1, default=WAX_DENSITY),
            number("sheet_thickness", Words("Thickness of a sheet"), "mm", 0.5, 5, default=SHEET_THICKNESS),
        ),
        _wax,
        {"segments": [[46, 5, 10], [40, 7, 9], [44, 9, 8]]},
        (Check("volume", 7988, 0.5, DERIVED), Check("wax_mass", 7.35, 0.005, DERIVED)),
    ),
)
