"""Calculators that set readings against each other."""

from __future__ import annotations

from decimal import Decimal
from math import sqrt

from labcases.prosthodontics.articulator import MONSON_RADIUS, MONSON_SOURCE
from labcases.prosthodontics.calculators.definition import Calculator, Check
from labcases.prosthodontics.calculators.inputs import Given, Kind, choice, count, number, series
from labcases.prosthodontics.calculators.results import Result, Table, Value
from labcases.prosthodontics.calculators.sources import DERIVED, GUM, NO_VERDICT
from labcases.prosthodontics.conformity import Rule, Verdict, judge
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.plane import (
    PLANE_EVIDENCE,
    asymmetry,
    drift,
    edge_below_papilla,
    posterior_height_on_plane,
    rim_plane,
    rims_against_space,
    rise,
    sagitta,
)
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.uncertainty import DEFAULT_REPEATABILITY, INSTRUMENTS, standard_uncertainty
from labcases.prosthodontics.wording import Words, figure

JCGM_106 = Source(Words("JCGM 106:2012, worked examples of clause 7"), Provenance.RECALLED, "H")
ISO_17043 = Source("ISO/IEC 17043", Provenance.RECALLED, "H")


def _plane(given: Given) -> Result:
    points = given.rows("points")
    if any(len(point) != 3 for point in points):
        raise InputError("points", points, Words("x, y and z in mm for each"))
    plane = rim_plane([(x, y, z) for x, y, z in points])
    values = (
        Value("pitch", Words("Front lower than back"), plane.pitch, "deg", 2, DERIVED),
        Value("cant", Words("Patient's left lower than right"), plane.cant, "deg", 2, DERIVED),
        Value("residual", Words("Farthest point from the plane"), plane.residual, "mm", 2, DERIVED),
    )
    rows = tuple((line, words, source.words) for line, words, source in PLANE_EVIDENCE)
    beside = Table(Words("Published beside it"), (Words("line"), Words("finding"), Words("source")), rows)
    return Result(values, (plane.words,), (NO_VERDICT,), (beside,))


def _asymmetry(given: Given) -> Result:
    found = asymmetry(given.number("left"), given.number("right"), between=given.number("between"))
    values = (
        Value("difference", Words("Left minus right"), found.difference, "mm", 2, DERIVED),
        Value("cant", Words("Tilt that it makes"), found.cant, "deg", 3, DERIVED),
    )
    step = figure(f"atan({found.difference:g} / {given.number('between'):g}) = {found.cant:.3f}°")
    return Result(values, (step, found.words), (NO_VERDICT,))


def _rim_sum(given: Given) -> Result:
    upper, lower, space = (given.number(name) for name in ("upper", "lower", "intersulcus_distance"))
    found = rims_against_space(upper, lower, intersulcus_distance=space)
    value = Value("spare", Words("Space left over"), found.spare, "mm", 2, DERIVED)
    return Result(
        (value,), (figure(f"{space:g} − {upper:g} − {lower:g} = {found.spare:.2f} mm"), found.words)
    )


def _drift(given: Given) -> Result:
    found = drift(
        given.number("earlier"),
        given.number("later"),
        expanded_earlier=given.number("expanded_earlier"),
        expanded_later=given.number("expanded_later"),
    )
    values = (
        Value("difference", Words("Later minus earlier"), found.difference, "mm", 2, DERIVED),
        Value("e_n", "E_n", found.e_n, "", 2, ISO_17043),
    )
    return Result(values, (found.words,), (NO_VERDICT,))


def _tilt(given: Given) -> Result:
    distance, tilt = given.number("distance"), given.number("tilt")
    change = rise(distance, tilt=tilt)
    values = [Value("change", Words("Change of height"), change, "mm", 2, DERIVED)]
    steps = [figure(f"{distance:g} mm × tan({tilt:g}°) = {change:.2f} mm")]
    if given.has("anterior_height"):
        behind = posterior_height_on_plane(given.number("anterior_height"), distance=distance, tilt=tilt)
        values.append(Value("posterior_height", Words("Height behind"), behind, "mm", 2, DERIVED))
        steps.append(figure(f"{given.number('anterior_height'):g} − {change:.2f} = {behind:.2f} mm"))
    return Result(tuple(values), tuple(steps))


def _edge(given: Given) -> Result:
    height, distance, tilt = (given.number(name) for name in ("edge_height", "labial_distance", "tilt"))
    edge = edge_below_papilla(height, labial_distance=distance, tilt=tilt)
    values = (
        Value("edge", Words("Papilla to edge, square to the tilted plane"), edge, "mm", 2, DERIVED),
        Value("change", Words("Of which by the tilt"), edge - height, "mm", 2, DERIVED),
    )
    return Result(values, (figure(f"{height:g} + {distance:g} × tan({tilt:g}°) = {edge:.2f} mm"),))


def _curve(given: Given) -> Result:
    radius, chord = given.number("radius"), given.number("chord")
    depth = sagitta(radius, chord)
    step = figure(f"{radius:g} − √({radius:g}² − ({chord:g}/2)²) = {depth:.3f} mm")
    return Result((Value("sagitta", Words("Depth of the curve"), depth, "mm", 3, MONSON_SOURCE),), (step,))


def _reading(given: Given) -> Result:
    readings = [Decimal(str(value)) for value in given.numbers("readings")]
    scatter = Decimal(str(given.number("repeatability")))
    found = standard_uncertainty(readings, INSTRUMENTS[given.text("instrument")], repeatability=scatter)
    values = [
        Value("mean", Words("Mean"), float(found.value), "mm", 3, GUM, float(found.u)),
        Value("standard_uncertainty", Words("Standard uncertainty"), float(found.u), "mm", 4, GUM),
        Value("expanded_uncertainty", Words("Expanded uncertainty, k = 2"), 2 * float(found.u), "mm", 3, GUM),
    ]
    if found.spread is not None:
        values.insert(
            1, Value("spread", Words("Standard deviation of the readings"), float(found.spread), "mm", 4, GUM)
        )
    shares = " + ".join(f"{float(share.u):.4f}²" for share in found.contributions)
    return Result(tuple(values), (found.why, figure(f"√({shares}) = {float(found.u):.4f} mm")))


_VERDICT_WORDS = {
    Verdict.WITHIN: Words("within"),
    Verdict.OUTSIDE: Words("outside"),
    Verdict.MEASURE_AGAIN: Words("measure again"),
}


def _conformity(given: Given) -> Result:
    limits = {
        name: None if given.maybe(name) is None else Decimal(str(given.number(name)))
        for name in ("lower", "upper")
    }
    verdict = judge(
        Decimal(str(given.number("value"))),
        lower=limits["lower"],
        upper=limits["upper"],
        u=Decimal(str(given.number("u"))),
        rule=Rule(given.text("rule")),
        repeats=given.count("repeats"),
    )
    values = (
        Value("probability", Words("Probability of lying inside"), verdict.probability, "", 4, JCGM_106),
        Value(
            "distance",
            Words("Distance to the nearer limit, inside positive"),
            float(verdict.distance),
            "",
            3,
            DERIVED,
        ),
        Value("guard", Words("Guard band"), float(verdict.guard), "", 3, DERIVED),
        Value("verdict", Words("Finding"), _VERDICT_WORDS[verdict.verdict]),
    )
    return Result(values, (str(verdict.words), str(Rule(given.text("rule")).words)), (NO_VERDICT,))


CALCULATORS = (
    Calculator(
        "rim_plane",
        Words("Plane through points of the rim"),
        "checks",
        Words("Sagittal and frontal tilt. x to the patient's left, y forwards, z upwards."),
        (series("points", Words("x, y, z of three or more points"), "mm", -200, 200, kind=Kind.ROWS),),
        _plane,
        {"points": [[25, -45, 0], [-25, -45, 0], [0, 0, -1.57]]},
        (Check("pitch", 2.00, 0.005, DERIVED), Check("cant", 0.0, 0.005, DERIVED)),
    ),
    Calculator(
        "asymmetry",
        Words("Left against right"),
        "checks",
        Words("Difference of two heights and the cant that it makes."),
        (
            number("left", Words("Left"), "mm", 0, 60),
            number("right", Words("Right"), "mm", 0, 60),
            number("between", Words("Distance between the two places"), "mm", 5, 120, default=50.0),
        ),
        _asymmetry,
        {"left": 19, "right": 18, "between": 50},
        (Check("cant", 1.146, 0.0005, DERIVED),),
    ),
    Calculator(
        "rim_sum",
        Words("Both rims against the space between the sulci"),
        "checks",
        Words("What is left of the space at the vertical dimension."),
        (
            number("upper", Words("Upper anterior height"), "mm", 5, 40),
            number("lower", Words("Lower anterior height"), "mm", 5, 40),
            number("intersulcus_distance", Words("Sulcus to sulcus at the vertical dimension"), "mm", 15, 80),
        ),
        _rim_sum,
        {"upper": 22, "lower": 18, "intersulcus_distance": 40},
        (Check("spare", 0.0, 0.001, DERIVED),),
    ),
    Calculator(
        "drift",
        Words("The same dimension at two stages"),
        "checks",
        Words("Whether a change is more than the readings explain."),
        (
            number("earlier", Words("Earlier"), "mm", -50, 200),
            number("later", Words("Later"), "mm", -50, 200),
            number("expanded_earlier", Words("Expanded uncertainty (k = 2), earlier"), "mm", 0, 20),
            number("expanded_later", Words("Expanded uncertainty (k = 2), later"), "mm", 0, 20),
        ),
        _drift,
        {"earlier": 22.0, "later": 22.3, "expanded_earlier": 0.18, "expanded_later": 0.18},
        (Check("e_n", 1.18, 0.005, DERIVED),),
    ),
    Calculator(
        "plane_tilt",
        Words("Height along a tilted plane"),
        "checks",
        Words("What a tilt makes over a distance, and the height behind."),
        (
            number("distance", Words("Distance"), "mm", 0, 120),
            number("tilt", Words("Tilt"), "deg", -30, 30),
            number("anterior_height", Words("Height in front"), "mm", 1, 60, optional=True),
        ),
        _tilt,
        {"distance": 45, "tilt": 2},
        (Check("change", 1.57, 0.005, DERIVED),),
    ),
    Calculator(
        "edge_on_tilted_plane",
        Words("Incisal edge from the papilla with a tilted plane"),
        "checks",
        Words("Papilla to edge when the cast is not level."),
        (
            number("edge_height", Words("Papilla to edge on the level cast"), "mm", 0, 20),
            number("labial_distance", Words("Papilla to labial face"), "mm", 0, 20),
            number("tilt", Words("Tilt of the plane"), "deg", -30, 30),
        ),
        _edge,
        {"edge_height": 6.7, "labial_distance": 9.6, "tilt": 5},
        (Check("change", 0.84, 0.005, DERIVED),),
    ),
    Calculator(
        "compensating_curve",
        Words("Depth of the compensating curve"),
        "checks",
        Words("Sagitta of a sphere over a chord."),
        (
            number("radius", Words("Radius"), "mm", 50, 500, default=MONSON_RADIUS),
            number("chord", Words("Chord"), "mm", 0, 100),
        ),
        _curve,
        {"chord": 40},
        (Check("sagitta", 1.988, 0.0005, DERIVED),),
    ),
    Calculator(
        "reading_uncertainty",
        Words("How well a reading is known"),
        "checks",
        Words("Mean, spread and uncertainty of one to some repeats with an instrument."),
        (
            series("readings", Words("Readings"), "mm", -50, 300),
            choice(
                "instrument",
                Words("Instrument"),
                [name for name, each in INSTRUMENTS.items() if each.unit == "mm"],
                default="digital_caliper",
            ),
            number(
                "repeatability",
                Words("Scatter of a single reading, where it was not repeated"),
                "mm",
                0.01,
                5,
                default=float(DEFAULT_REPEATABILITY),
            ),
        ),
        _reading,
        {"readings": [21.8, 22.1, 22.0]},
        (
            Check("mean", 21.967, 0.0005, DERIVED),
            Check("spread", 0.15275, 0.00005, DERIVED),
            Check("standard_uncertainty", sqrt(0.0881917**2 + 0.02**2 / 3 + 0.01**2 / 12), 0.0001, DERIVED),
        ),
    ),
    Calculator(
        "conformity",
        Words("A figure against its limits"),
        "checks",
        Words("Probability of lying inside, and what the configured rule says."),
        (
            number("value", Words("Figure"), "", -10000, 10000),
            number("u", Words("Standard uncertainty"), "", 0, 1000),
            number("lower", Words("Lower limit"), "", -10000, 10000, optional=True),
            number("upper", Words("Upper limit"), "", -10000, 10000, optional=True),
            choice("rule", Words("Rule"), list(Rule), default=Rule.SIMPLE.value),
            count("repeats", Words("Number of readings"), 1, 100, default=3),
        ),
        _conformity,
        {"value": -5.47, "u": 0.05, "upper": -5.4},
        (Check("probability", 0.9192, 0.0001, JCGM_106),),
    ),
)
