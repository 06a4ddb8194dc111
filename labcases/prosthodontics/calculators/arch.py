"""Calculators of the arch form."""

from __future__ import annotations

import numpy as np

from labcases.prosthodontics.arch import MODELS, ArchForm, TwoSidedArch, beta, catenary, ellipse, parabola
from labcases.prosthodontics.arch.halves import BetaHalf, Half
from labcases.prosthodontics.calculators.cast import CAST_INPUTS, read_cast, read_crest
from labcases.prosthodontics.calculators.definition import Calculator, Check
from labcases.prosthodontics.calculators.inputs import Given, choice, number, series
from labcases.prosthodontics.calculators.results import SIDES, Result, Table, Value
from labcases.prosthodontics.calculators.sources import BRAUN, DERIVED, NUMERIC
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.wording import Words, figure

SIMPLE = {"beta": beta, "catenary": catenary, "parabola": parabola, "ellipse": ellipse}


def _curve(given: Given) -> Result:
    width, depth, model = given.number("width"), given.number("depth"), given.text("model")
    if given.has("exponent") and model != "beta":
        raise InputError("exponent", given.number("exponent"), Words("a figure for the beta curve only"))
    exponent = given.maybe("exponent") or 0.8
    curve: TwoSidedArch = (
        beta(width, depth, exponent=exponent) if model == "beta" else SIMPLE[model](width, depth)
    )
    values = [
        Value("arc_length", Words("Arc length of the whole arch"), curve.arc_length(), "mm", 3, DERIVED)
    ]
    steps = [
        Words("{curve} with W = {width:g} mm, D = {depth:g} mm").of(
            curve=MODELS[model], width=width, depth=depth
        )
        + (figure(f", e = {exponent:g}") * (model == "beta"))
    ]
    for i, x in enumerate(given.numbers("at")):
        values.append(Value(f"y_{i + 1}", Words("y at x = {x:g} mm").of(x=x), curve.y(x), "mm", 3, DERIVED))
    if given.has("arc"):
        values += _chord(curve, given.number("arc"))
    return Result(tuple(values), tuple(steps), drawing={"crest": _polyline(curve)})


def _chord(curve: TwoSidedArch, arc: float) -> list[Value]:
    chord = curve.chord_holding(arc)
    y = curve.point_at(arc / 2)[1]
    return [
        Value(
            "chord",
            Words("Chord that holds an arc of {arc:g} mm at the front").of(arc=arc),
            chord,
            "mm",
            3,
            DERIVED,
        ),
        Value("chord_y", Words("y of that chord"), y, "mm", 3, DERIVED),
        Value("sagitta", Words("Front of the arch before that chord"), curve.depth - y, "mm", 3, DERIVED),
    ]


def _form(given: Given) -> Result:
    cast, crest = read_cast(given), read_crest(given)
    values = [Value("arc_length", Words("Arc length of the crest"), crest.arc_length(), "mm", 3, DERIVED)]
    for side, half in (("left", crest.left), ("right", crest.right)):
        values.append(
            Value(
                f"arc_length_{side}",
                Words("Arc length, {side}").of(side=SIDES[side]),
                crest.side_length(side),
                "mm",
                3,
                DERIVED,
            )
        )
        if isinstance(half, BetaHalf):
            values.append(
                Value(
                    f"exponent_{side}",
                    Words("Exponent, {side}").of(side=SIDES[side]),
                    half.exponent,
                    "",
                    4,
                    DERIVED,
                )
            )
    right, left = cast.right.canine_half_width, cast.left.canine_half_width
    if right is not None and left is not None:
        values += _canine_values(crest, right=right, left=left)
    steps = (f"{MODELS[crest.model]}.", *(_half_words(side, half) for side, half in _sides(crest)))
    rows = tuple(_station_row(crest, s) for s in _stations(crest))
    table = Table(
        Words("Along the crest"),
        (Words("s in mm"), Words("x in mm"), Words("y in mm"), Words("curvature per mm")),
        rows,
    )
    cautions = (Words("The arch form describes this cast's crest; it is no norm."),)
    return Result(tuple(values), steps, cautions, (table,), {"crest": _polyline(crest)})


def _canine_values(crest: ArchForm, *, right: float, left: float) -> list[Value]:
    start, end = crest.arc_length_to(-right), crest.arc_length_to(left)
    return [
        Value(
            "canine_arc", Words("Arc of the crest between the canine points"), end - start, "mm", 2, DERIVED
        ),
        Value(
            "canine_chord",
            Words("Straight distance between the canine points"),
            _distance(crest, start, end),
            "mm",
            2,
            DERIVED,
        ),
    ]


def _distance(crest: ArchForm, start: float, end: float) -> float:
    return float(np.hypot(*np.subtract(crest.point_at(end), crest.point_at(start))))


def _sides(crest: TwoSidedArch) -> tuple[tuple[str, Half], ...]:
    return (Words("Left"), crest.left), (Words("Right"), crest.right)


def _half_words(side: str, half: Half) -> str:
    text = Words("{side}: half width {half_width:g} mm, depth {depth:g} mm").of(
        side=side, half_width=half.half_width, depth=half.depth
    )
    exponent = figure(f", e = {half.exponent:.4f}") if isinstance(half, BetaHalf) else ""
    return f"{text}{exponent}."


def _stations(crest: ArchForm) -> list[float]:
    right, left = crest.side_length("right"), crest.side_length("left")
    return [
        *(-right * part for part in (1.0, 0.75, 0.5, 0.25)),
        *(left * part for part in (0, 0.25, 0.5, 0.75, 1.0)),
    ]


def _station_row(crest: ArchForm, s: float) -> tuple[float, float, float, float | None]:
    x, y = crest.point_at(s)
    at_end = abs(s) >= crest.side_length("left" if s > 0 else "right") - 1e-6
    return round(s, 2), round(x, 2), round(y, 2), None if at_end else round(crest.curvature_at(s), 4)


def _polyline(curve: ArchForm) -> np.ndarray:
    s = np.linspace(-curve.side_length("right"), curve.side_length("left"), 201)
    return curve.trace(s)[0]


CALCULATORS = (
    Calculator(
        "arch_curve",
        Words("Arch curve from a width and a depth"),
        "arch",
        Words(
            "Heights over the base line, arc length, and the straight distance between the ends of a front arc."
        ),
        (
            choice("model", Words("Arch form"), SIMPLE, default="beta"),
            number("width", Words("Width"), "mm", 20, 100),
            number("depth", Words("Depth"), "mm", 10, 90),
            number(
                "exponent",
                Words("Exponent of the beta curve, 0.8 unless given"),
                "",
                0.35,
                1.5,
                optional=True,
            ),
            series("at", Words("Distances x from the midline"), "mm", -50, 50, optional=True),
            number("arc", Words("Arc at the front"), "mm", 1, 150, optional=True),
        ),
        _curve,
        {"width": 60, "depth": 45, "at": [0, 10, 20], "arc": 46},
        (
            Check("y_1", 45.0, 0.0005, BRAUN),
            Check("y_2", 40.953, 0.0005, NUMERIC),
            Check("y_3", 28.119, 0.0005, NUMERIC),
            Check("arc_length", 114.703, 0.0005, NUMERIC),
            Check("chord", 35.513, 0.0005, NUMERIC),
            Check("chord_y", 31.869, 0.0005, NUMERIC),
            Check("sagitta", 13.131, 0.0005, NUMERIC),
        ),
    ),
    Calculator(
        "arch_form",
        Words("Arch form of a cast's ridge crest"),
        "arch",
        Words(
            "The curve of the crest from what is measured on the cast, left and right apart where they differ."
        ),
        CAST_INPUTS,
        _form,
        {"arch_width": 60, "arch_depth": 45, "exponent": 0.8},
        (Check("arc_length", 114.703, 0.005, NUMERIC), Check("arc_length_left", 57.3517, 0.005, NUMERIC)),
    ),
)
