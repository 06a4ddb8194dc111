"""Calculators of the vertical dimension."""

from __future__ import annotations

from labcases.prosthodontics.articulator import BONWILL_SIDE, BONWILL_SOURCE, bonwill_height
from labcases.prosthodontics.calculators.definition import Calculator, Check
from labcases.prosthodontics.calculators.inputs import Given, number, series
from labcases.prosthodontics.calculators.results import Result, Table, Value
from labcases.prosthodontics.calculators.sources import DERIVED, FOR_CLINICIAN, NO_VERDICT
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.vertical import (
    HINGE_DISTANCES,
    change_at,
    freeway_space,
    mean_of,
    opening_angle,
    pin_change,
    rim_changes,
)
from labcases.prosthodontics.vertical.freeway import (
    EVIDENCE,
    FREEWAY_RANGE,
    FREEWAY_SOURCE,
    GAUGE_STEP,
    IDENTITY_SOURCE,
    SKIN_MARK_SCATTER,
)
from labcases.prosthodontics.vertical.hinge import DISTANCE_SOURCE, HINGE_SOURCE, REGION_WORDS
from labcases.prosthodontics.wording import Words, figure

KAISER = Source(Words("Kaiser DA, Schelb E, J Prosthet Dent, at 6, 4 and 2 inches"), Provenance.SEEN, "H")
_DISTANCES = tuple(
    number(f"{region}_distance", label, "mm", 20, 150, default=HINGE_DISTANCES[region])
    for region, label in (
        ("incisor", Words("Hinge axis to the incisors")),
        ("canine", Words("Hinge axis to the canines")),
        ("premolar", Words("Hinge axis to the premolars")),
        ("molar", Words("Hinge axis to the molars")),
    )
)


_RIM_WORDS = {
    "upper": Words("Upper rim at the {region}, minus to take off"),
    "lower": Words("Lower rim at the {region}, minus to take off"),
}


def _freeway(given: Given) -> Result:
    scatter = given.number("single_scatter")
    step = given.number("resolution")
    rest, u_rest = mean_of(given.numbers("rest"), single_scatter=scatter, resolution=step)
    occlusion, u_occlusion = mean_of(given.numbers("occlusion"), single_scatter=scatter, resolution=step)
    usual = (given.number("low"), given.number("high"))
    found = freeway_space(rest=rest, occlusion=occlusion, u_rest=u_rest, u_occlusion=u_occlusion, usual=usual)
    distances = {region: given.number(f"{region}_distance") for region in HINGE_DISTANCES}
    wanted, share = given.number("wanted"), given.number("upper_share")
    changes = rim_changes(freeway=found.value, wanted=wanted, upper_share=share, distances=distances)
    values = [Value("freeway", Words("Freeway space"), found.value, "mm", 2, IDENTITY_SOURCE, found.u)]
    for change in changes:
        known = found.u * distances[change.region] / distances["incisor"]
        for rim, amount, part in (("upper", change.upper, share), ("lower", change.lower, 1 - share)):
            label = _RIM_WORDS[rim].of(region=REGION_WORDS[change.region])
            values.append(Value(f"{rim}_{change.region}", label, amount, "mm", 2, HINGE_SOURCE, known * part))
    steps = (
        Words("Rest {rest:.2f} mm − occlusion {occlusion:.2f} mm = {value:.2f} mm, u = {u:.2f} mm.").of(
            rest=rest, occlusion=occlusion, value=found.value, u=found.u
        ),
        found.words,
        Words("Distances to the hinge axis: {source}.").of(source=DISTANCE_SOURCE.words),
        Words("At the incisors the rims change by {value:.2f} − {wanted:g} = {change:+.2f} mm.").of(
            value=found.value, wanted=wanted, change=found.value - wanted
        ),
    )
    return Result(tuple(values), steps, _cautions(given), (_evidence(),))


def _cautions(given: Given) -> tuple[str, ...]:
    single = min(len(given.numbers("rest")), len(given.numbers("occlusion"))) == 1
    more = (
        Words(
            "A single reading between skin marks scatters by about {single_scatter:g} mm (from memory, "
            "unverified): take three of each."
        ).of(single_scatter=given.number("single_scatter")),
    )
    return (*(more if single else ()), NO_VERDICT, FOR_CLINICIAN)


def _evidence() -> Table:
    rows = tuple((what, words, source.words) for what, words, source in EVIDENCE)
    return Table(Words("Published beside it"), (Words("what"), Words("finding"), Words("source")), rows)


def _hinge(given: Given) -> Result:
    gap, at, wanted = given.number("gap"), given.number("gap_distance"), given.number("distance")
    there = change_at(wanted, gap=gap, gap_distance=at)
    angle = opening_angle(gap, distance=at)
    values = (
        Value("angle", Words("Angle of opening"), angle, "deg", 3, HINGE_SOURCE),
        Value("change", Words("Opening at {wanted:g} mm").of(wanted=wanted), there, "mm", 3, HINGE_SOURCE),
    )
    steps = (
        figure(f"2·asin({gap:g} / (2 × {at:g})) = {angle:.3f}°"),
        figure(f"2 × {wanted:g} × sin({angle:.3f}° / 2) = {there:.3f} mm"),
    )
    return Result(values, steps, (Words("A hinge: holds near centric relation and for small openings."),))


def _pin(given: Given) -> Result:
    pin, far = given.number("pin"), given.number("pin_distance")
    incisor, molar = given.number("incisor_distance"), given.number("molar_distance")
    values = (
        Value(
            "incisor",
            Words("Change at the incisors"),
            pin_change(pin, pin_distance=far, distance=incisor),
            "mm",
            2,
            KAISER,
        ),
        Value(
            "molar",
            Words("Change at the molars"),
            pin_change(pin, pin_distance=far, distance=molar),
            "mm",
            2,
            KAISER,
        ),
    )
    steps = tuple(
        figure(f"{name}: {pin:g} × {distance:g} / {far:g} = {pin * distance / far:.2f} mm")
        for name, distance in ((Words("Incisors"), incisor), (Words("Molars"), molar))
    )
    return Result(values, steps)


def _bonwill(given: Given) -> Result:
    arm, base = given.number("arm"), given.number("base")
    height = bonwill_height(arm, base)
    step = figure(f"√({arm:g}² − ({base:g}/2)²) = {height:.3f} mm")
    return Result(
        (Value("height", Words("Condylar axis to incisal point"), height, "mm", 3, BONWILL_SOURCE),), (step,)
    )


CALCULATORS = (
    Calculator(
        "freeway_space",
        Words("Freeway space and what the rims give or take"),
        "vertical",
        Words("From readings at rest and with the rims; the change spread over the arch by hinge geometry."),
        (
            series("rest", Words("Vertical dimension at rest, one to some readings"), "mm", 20, 120),
            series(
                "occlusion", Words("Vertical dimension with the rims, one to some readings"), "mm", 20, 120
            ),
            number("wanted", Words("Freeway space wanted"), "mm", 0, 12, default=3.0),
            number("low", Words("Configured range from"), "mm", 0, 12, default=FREEWAY_RANGE[0]),
            number("high", Words("Configured range to"), "mm", 0, 12, default=FREEWAY_RANGE[1]),
            number("upper_share", Words("Part that the upper rim takes, 0 to 1"), "", 0, 1, default=0.0),
            number(
                "single_scatter", Words("Scatter of a single reading"), "mm", 0, 5, default=SKIN_MARK_SCATTER
            ),
            number("resolution", Words("Smallest step read on the gauge"), "mm", 0, 2, default=GAUGE_STEP),
            *_DISTANCES,
        ),
        _freeway,
        {"rest": [68.0], "occlusion": [66.5], "wanted": 3.0},
        (
            Check("freeway", 1.5, 0.001, FREEWAY_SOURCE),
            Check("lower_incisor", -1.5, 0.001, DERIVED),
            Check("lower_molar", -0.852, 0.001, DERIVED),
        ),
    ),
    Calculator(
        "hinge_opening",
        Words("An opening at one place, seen at another"),
        "vertical",
        Words("The jaw as a hinge, exact for any opening."),
        (
            number("gap", Words("Opening"), "mm", -30, 30),
            number(
                "gap_distance",
                Words("Hinge axis to where it is measured"),
                "mm",
                20,
                150,
                default=HINGE_DISTANCES["incisor"],
            ),
            number(
                "distance",
                Words("Hinge axis to where it is wanted"),
                "mm",
                20,
                150,
                default=HINGE_DISTANCES["molar"],
            ),
        ),
        _hinge,
        {"gap": 3},
        (Check("angle", 1.953, 0.0005, DERIVED), Check("change", 1.705, 0.0006, DERIVED)),
    ),
    Calculator(
        "pin_change",
        Words("Remount: what the pin's change is at the teeth"),
        "vertical",
        Words("By the distances of pin, incisors and molars from the hinge axis."),
        (
            number("pin", Words("Change of the pin"), "mm", -20, 20),
            number("pin_distance", Words("Hinge axis to the pin"), "mm", 50, 250, default=152.4),
            number("incisor_distance", Words("Hinge axis to the incisors"), "mm", 20, 150, default=101.6),
            number("molar_distance", Words("Hinge axis to the molars"), "mm", 20, 150, default=50.8),
        ),
        _pin,
        {"pin": 1.5},
        (Check("incisor", 1.0, 0.001, KAISER), Check("molar", 0.5, 0.001, KAISER)),
    ),
    Calculator(
        "bonwill_height",
        Words("Condylar axis to incisal point"),
        "vertical",
        Words("Height of the triangle of condyles and incisal point."),
        (
            number("arm", Words("Condyle to incisal point"), "mm", 60, 150, default=BONWILL_SIDE),
            number("base", Words("Between the condyles"), "mm", 60, 150, default=BONWILL_SIDE),
        ),
        _bonwill,
        {},
        (Check("height", 87.988, 0.0005, DERIVED),),
    ),
)
