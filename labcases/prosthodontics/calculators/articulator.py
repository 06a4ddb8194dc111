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
from labcases.prosthodontics.wording import Words, figure

_RECORD = Words(
    "A protrusive record of about 6 mm (5 in one print); the condylar path is to the occlusal plane."
)
_HEIGHT = number("height", Words("Condylar axis to incisal point"), "mm", 50, 150, default=88.0)
_BALKWILL = number("balkwill", Words("Balkwill's angle"), "deg", 0, 45, default=BALKWILL_ANGLE)


def _lateral(given: Given) -> Result:
    horizontal = given.number("horizontal")
    lateral = lateral_setting(horizontal)
    step = figure(f"{horizontal:g} / 8 + 12 = {lateral:.3f}°")
    value = Value("lateral", Words("Lateral condylar setting"), lateral, "deg", 3, HANAU)
    return Result(
        (value,),
        (step,),
        (Words("Differs from jaw tracking in 20 edentulous people (Bhawsar SV and others 2015)."),),
    )


def _gap(given: Given) -> Result:
    path, forward, height = given.number("path"), given.number("protrusion"), given.number("height")
    balkwill, distance = given.number("balkwill"), given.number("distance")
    angle = christensen_angle(path, protrusion=forward, height=height, balkwill=balkwill)
    values = (
        Value("angle", Words("Angle by which the rims part"), angle, "deg", 3, CHRISTENSEN),
        Value(
            "gap",
            Words("Gap {distance:g} mm behind the incisal point").of(distance=distance),
            gap_at(angle, distance=distance),
            "mm",
            2,
            DERIVED,
        ),
    )
    steps = (
        figure(
            f"sin(({path:g}° − {balkwill:g}°) + g) = "
            f"sin({path:g}° − {balkwill:g}°) + {forward:g}/{height:g} × sin {path:g}°"
        ),
        Words("g = {angle:.3f}°; gap {distance:g} × tan g = {gap:.2f} mm").of(
            angle=angle, distance=distance, gap=gap_at(angle, distance=distance)
        ),
    )
    return Result(values, steps, (Words("No incisal guidance assumed."),))


def _path(given: Given) -> Result:
    gap, distance = given.number("gap"), given.number("distance")
    forward, height, balkwill = given.number("protrusion"), given.number("height"), given.number("balkwill")
    path = condylar_path(gap, distance=distance, protrusion=forward, height=height, balkwill=balkwill)
    step = Words("Gap {gap:g} mm at {distance:g} mm behind, protrusion {forward:g} mm: r = {path:.2f}°").of(
        gap=gap, distance=distance, forward=forward, path=path
    )
    value = Value("path", Words("Condylar path to the occlusal plane"), path, "deg", 2, CHRISTENSEN)
    return Result((value,), (step,), (_RECORD, FOR_CLINICIAN))


def _incisal(given: Given) -> Result:
    overbite, overjet = given.number("overbite"), given.number("overjet")
    angle = incisal_guide_angle(overbite, overjet)
    step = figure(f"atan({overbite:g} / {overjet:g}) = {angle:.2f}°")
    value = Value("angle", Words("Incisal guide angle"), angle, "deg", 2, DERIVED)
    return Result(
        (value,),
        (step,),
        (Words("Kept small in complete dentures, 0 to 10 degrees (common practice, no source)."),),
    )


def _settings(given: Given) -> Result:
    horizontal = given.number("horizontal")
    values = (
        *(Value(each.name, each.label, each.value, "deg", 0, each.source) for each in USUAL_SETTINGS),
        Value(
            "lateral_from_horizontal",
            Words("Lateral setting from the horizontal one"),
            lateral_setting(horizontal),
            "deg",
            3,
            HANAU,
        ),
    )
    usual = Table(
        Words("Usual settings"),
        (Words("setting"), Words("degrees"), Words("beside it")),
        tuple((each.label, each.value, each.beside) for each in USUAL_SETTINGS),
    )
    points = Table(
        Words("Hinge axis points on the skin"),
        (Words("point"), Words("where"), Words("agreement with the true axis")),
        tuple((each.name, each.where, each.agreement) for each in HINGE_POINTS),
    )
    return Result(
        values,
        (),
        (Words("Agreement: {source}.").of(source=AGREEMENT_SOURCE.words), FOR_CLINICIAN),
        (usual, points),
    )


CALCULATORS = (
    Calculator(
        "lateral_setting",
        Words("Lateral condylar setting"),
        "articulator",
        Words("From the horizontal condylar setting, L = H/8 + 12."),
        (number("horizontal", Words("Horizontal condylar setting"), "deg", 0, 90),),
        _lateral,
        {"horizontal": 33},
        (Check("lateral", 16.125, 0.0001, HANAU),),
    ),
    Calculator(
        "christensen_gap",
        Words("Gap between the rims in protrusion"),
        "articulator",
        Words("From the condylar path; with no incisal guidance."),
        (
            number("path", Words("Condylar path to the occlusal plane"), "deg", 0, 80),
            number("protrusion", Words("Protrusion"), "mm", 0, 20, default=6.0),
            _HEIGHT,
            _BALKWILL,
            number("distance", Words("Distance behind the incisal point"), "mm", 5, 80, default=45.0),
        ),
        _gap,
        {"path": 30},
        (Check("angle", 1.978, 0.0005, DERIVED), Check("gap", 1.55, 0.005, DERIVED)),
    ),
    Calculator(
        "condylar_path",
        Words("Condylar path from a protrusive record"),
        "articulator",
        Words("The path that makes the gap found behind."),
        (
            number("gap", Words("Gap"), "mm", 0, 20),
            number("distance", Words("Distance behind the incisal point"), "mm", 5, 80, default=45.0),
            number("protrusion", Words("Protrusion"), "mm", 1, 20, default=6.0),
            _HEIGHT,
            _BALKWILL,
        ),
        _path,
        {"gap": 1.9, "distance": 55},
        (Check("path", 30.0, 0.02, DERIVED),),
    ),
    Calculator(
        "incisal_guide",
        Words("Incisal guide angle"),
        "articulator",
        Words("From overbite and overjet."),
        (
            number("overbite", Words("Overbite"), "mm", 0, 15),
            number("overjet", Words("Overjet"), "mm", 0, 15),
        ),
        _incisal,
        {"overbite": 1, "overjet": 2},
        (Check("angle", 26.57, 0.005, DERIVED),),
    ),
    Calculator(
        "usual_settings",
        Words("Usual settings and hinge axis points"),
        "articulator",
        Words("Where no record exists, with what has been measured against them."),
        (number("horizontal", Words("Horizontal condylar setting"), "deg", 0, 90, default=30.0),),
        _settings,
        {},
        (Check("lateral_from_horizontal", 15.75, 0.0001, HANAU),),
    ),
)
