"""Calculators of the articulator."""

from __future__ import annotations

from labcases.prosthodontics.articulator import (
    AGREEMENT_SOURCE,
    BALKWILL_ANGLE,
    CHRISTENSEN,
    HANAU,
    HINGE_POINTS,
    USUAL_SETTINGS,
    christensen_angle,
    condylar_path,
    gap_at,
    incisal_guide_angle,
    lateral_setting,
)
from labcases.prosthodontics.calculators.definition import Calculator, Check
from labcases.prosthodontics.calculators.inputs import Given, number
from labcases.prosthodontics.calculators.results import Result, Table, Value
from labcases.prosthodontics.calculators.sources import DERIVED, FOR_CLINICIAN

_RECORD = "A protrusive record of about 6 mm (5 in one print); the condylar path is to the occlusal plane."
_HEIGHT = number("height", "Condylar axis to incisal point", "mm", 50, 150, default=88.0)
_BALKWILL = number("balkwill", "Balkwill's angle", "deg", 0, 45, default=BALKWILL_ANGLE)


def _lateral(given: Given) -> Result:
    horizontal = given.number("horizontal")
    lateral = lateral_setting(horizontal)
    step = f"{horizontal:g} / 8 + 12 = {lateral:.3f}°"
    value = Value("lateral", "Lateral condylar setting", lateral, "deg", 3, HANAU)
    return Result(
        (value,),
        (step,),
        ("Differs from jaw tracking in 20 edentulous people (Bhawsar SV and others 2015).",),
    )


def _gap(given: Given) -> Result:
    path, forward, height = given.number("path"), given.number("protrusion"), given.number("height")
    balkwill, distance = given.number("balkwill"), given.number("distance")
    angle = christensen_angle(path, protrusion=forward, height=height, balkwill=balkwill)
    values = (
        Value("angle", "Angle by which the rims part", angle, "deg", 3, CHRISTENSEN),
        Value(
            "gap",
            f"Gap {distance:g} mm behind the incisal point",
            gap_at(angle, distance=distance),
            "mm",
            2,
            DERIVED,
        ),
    )
    steps = (
        f"sin(({path:g}° − {balkwill:g}°) + g) = "
        f"sin({path:g}° − {balkwill:g}°) + {forward:g}/{height:g} × sin {path:g}°",
        f"g = {angle:.3f}°; gap {distance:g} × tan g = {gap_at(angle, distance=distance):.2f} mm",
    )
    return Result(values, steps, ("No incisal guidance assumed.",))


def _path(given: Given) -> Result:
    gap, distance = given.number("gap"), given.number("distance")
    forward, height, balkwill = given.number("protrusion"), given.number("height"), given.number("balkwill")
    path = condylar_path(gap, distance=distance, protrusion=forward, height=height, balkwill=balkwill)
    step = f"Gap {gap:g} mm at {distance:g} mm behind, protrusion {forward:g} mm: r = {path:.2f}°"
    value = Value("path", "Condylar path to the occlusal plane", path, "deg", 2, CHRISTENSEN)
    return Result((value,), (step,), (_RECORD, FOR_CLINICIAN))


def _incisal(given: Given) -> Result:
    overbite, overjet = given.number("overbite"), given.number("overjet")
    angle = incisal_guide_angle(overbite, overjet)
    step = f"atan({overbite:g} / {overjet:g}) = {angle:.2f}°"
    value = Value("angle", "Incisal guide angle", angle, "deg", 2, DERIVED)
    return Result(
        (value,), (step,), ("Kept small in complete dentures, 0 to 10 degrees (common practice, no source).",)
    )


def _settings(given: Given) -> Result:
    horizontal = given.number("horizontal")
    values = (
        *(Value(each.name, each.label, each.value, "deg", 0, each.source) for each in USUAL_SETTINGS),
        Value(
            "lateral_from_horizontal",
            "Lateral setting from the horizontal one",
            lateral_setting(horizontal),
            "deg",
            3,
            HANAU,
        ),
    )
    usual = Table(
        "Usual settings",
        ("setting", "degrees", "beside it"),
        tuple((each.label, each.value, each.beside) for each in USUAL_SETTINGS),
    )
    points = Table(
        "Hinge axis points on the skin",
        ("point", "where", "agreement with the true axis"),
        tuple((each.name, each.where, each.agreement) for each in HINGE_POINTS),
    )
    return Result(values, (), (f"Agreement: {AGREEMENT_SOURCE.words}.", FOR_CLINICIAN), (usual, points))


CALCULATORS = (
    Calculator(
        "lateral_setting",
        "Lateral condylar setting",
        "articulator",
        "From the horizontal condylar setting, L = H/8 + 12.",
        (number("horizontal", "Horizontal condylar setting", "deg", 0, 90),),
        _lateral,
        {"horizontal": 33},
        (Check("lateral", 16.125, 0.0001, HANAU),),
    ),
    Calculator(
        "christensen_gap",
        "Gap between the rims in protrusion",
        "articulator",
        "From the condylar path; with no incisal guidance.",
        (
            number("path", "Condylar path to the occlusal plane", "deg", 0, 80),
            number("protrusion", "Protrusion", "mm", 0, 20, default=6.0),
            _HEIGHT,
            _BALKWILL,
            number("distance", "Distance behind the incisal point", "mm", 5, 80, default=45.0),
        ),
        _gap,
        {"path": 30},
        (Check("angle", 1.978, 0.0005, DERIVED), Check("gap", 1.55, 0.005, DERIVED)),
    ),
    Calculator(
        "condylar_path",
        "Condylar path from a protrusive record",
        "articulator",
        "The path that makes the gap found behind.",
        (
            number("gap", "Gap", "mm", 0, 20),
            number("distance", "Distance behind the incisal point", "mm", 5, 80, default=45.0),
            number("protrusion", "Protrusion", "mm", 1, 20, default=6.0),
            _HEIGHT,
            _BALKWILL,
        ),
        _path,
        {"gap": 1.9, "distance": 55},
        (Check("path", 30.0, 0.02, DERIVED),),
    ),
    Calculator(
        "incisal_guide",
        "Incisal guide angle",
        "articulator",
        "From overbite and overjet.",
        (number("overbite", "Overbite", "mm", 0, 15), number("overjet", "Overjet", "mm", 0, 15)),
        _incisal,
        {"overbite": 1, "overjet": 2},
        (Check("angle", 26.57, 0.005, DERIVED),),
    ),
    Calculator(
        "usual_settings",
        "Usual settings and hinge axis points",
        "articulator",
        "Where no record exists, with what has been measured against them.",
        (number("horizontal", "Horizontal condylar setting", "deg", 0, 90, default=30.0),),
        _settings,
        {},
        (Check("lateral_from_horizontal", 15.75, 0.0001, HANAU),),
    ),
)
