"""Calculators of materials."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from labcases.prosthodontics.calculators.definition import Calculator, Check
from labcases.prosthodontics.calculators.inputs import Given, Input, Kind, choice, number, time_zone
from labcases.prosthodontics.calculators.results import Result, Table, Value
from labcases.prosthodontics.calculators.sources import DERIVED, MATERIAL_FIRST
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.materials import (
    CURING_CYCLES,
    GYPSUM,
    expected_shrinkage,
    gypsum_batch,
    polymer_batch,
    schedule,
    start_for,
)
from labcases.prosthodontics.materials.curing import COOLING_SOURCE, Cycle, Schedule, Step
from labcases.prosthodontics.materials.gypsum import DENSITY_SOURCE, POWDER_DENSITY
from labcases.prosthodontics.materials.polymer import (
    RATIO_SOURCE,
    USUAL_RATIO,
    dough_shrinkage,
    linear_equivalent,
    monomer_shrinkage,
)
from labcases.prosthodontics.materials.shrinkage import (
    OBSERVED,
    OBSERVED_SOURCE,
    POLYMER_EXPANSION_SOURCE,
    net_factor,
    scale_factor,
    thermal_change,
)
from labcases.prosthodontics.wording import Words, figure

# What a document says for each; the English name, whoever reads.
_KINDS = {f"type {kind}: {each.name[:]}": each for kind, each in GYPSUM.items()}


def _gypsum(given: Given) -> Result:
    kind = _KINDS[given.text("kind")]
    ratio = given.maybe("ratio") or kind.middle_ratio
    batch = gypsum_batch(
        given.number("volume"),
        ratio=ratio,
        density=given.number("powder_density"),
        waste=given.number("waste") / 100,
        unit=given.maybe("unit"),
    )
    source = kind.ratio_source if not given.has("ratio") else DENSITY_SOURCE
    values = (
        Value("powder", Words("Powder"), batch.powder, "g", 1, source),
        Value("water", Words("Water"), batch.water, "mL", 1, source),
        Value("volume", Words("Volume of the mix"), batch.volume, "cm³", 1, DERIVED),
        Value(
            "excess_water",
            Words("Water beyond what the reaction binds"),
            batch.excess_water,
            Words("g per 100 g"),
            1,
            DERIVED,
        ),
    )
    steps = (
        Words("{name}: {ratio:g} g of water per g of powder, powder density {powder_density:g} g/cm³").of(
            name=kind.name, ratio=ratio, powder_density=given.number("powder_density")
        ),
        Words(
            "Powder = volume / (1/ρ + w) = {powder:.1f} g; water = {ratio:g} × {powder:.1f} = {water:.1f} mL"
        ).of(powder=batch.powder, ratio=ratio, water=batch.water),
    )
    return Result(values, steps, _ratio_cautions(ratio, kind.ratio))


def _ratio_cautions(ratio: float, usual: tuple[float, float]) -> tuple[str, ...]:
    if usual[0] <= ratio <= usual[1]:
        return (MATERIAL_FIRST,)
    return (
        Words("{ratio:g} is outside the usual {least:g} to {most:g} of this type.").of(
            ratio=ratio, least=usual[0], most=usual[1]
        ),
        MATERIAL_FIRST,
    )


def _polymer(given: Given) -> Result:
    ratio, volume = given.number("ratio"), given.number("volume")
    batch = polymer_batch(volume, ratio=ratio, waste=given.number("waste") / 100)
    shrinks = dough_shrinkage(ratio)
    values = (
        Value("polymer", Words("Polymer"), batch.polymer, "g", 2, RATIO_SOURCE),
        Value("monomer", Words("Monomer"), batch.monomer, "mL", 2, RATIO_SOURCE),
        Value("dough_shrinkage", Words("Volume that the dough loses"), 100 * shrinks, "%", 2, DERIVED),
        Value(
            "monomer_shrinkage",
            Words("Volume that monomer alone loses"),
            100 * monomer_shrinkage(),
            "%",
            1,
            DERIVED,
        ),
        Value(
            "linear",
            Words("The same as a length, if free in all directions"),
            100 * linear_equivalent(shrinks),
            "%",
            2,
            DERIVED,
        ),
    )
    steps = (
        Words(
            "Polymer = {ratio:g} × {volume:g} / ({ratio:g}/1.19 + 1), waste added; monomer = polymer / "
            "{ratio:g}"
        ).of(ratio=ratio, volume=volume),
    )
    caution = Words("Finished dentures show less: most of the loss happens while the dough still flows.")
    return Result(values, steps, (caution, MATERIAL_FIRST))


def _curing(given: Given) -> Result:
    cycle = _cycle(given)
    zone = time_zone(given.text("time_zone"))
    moment = given.moment("time")
    moment = moment.astimezone(zone) if moment.tzinfo else _on_the_clock(moment.replace(tzinfo=zone))
    start = start_for(moment, cycle) if given.text("time_is") == "ready by" else moment
    plan = schedule(start, cycle)
    values = (
        Value("start", Words("Start"), _clock(start), source=cycle.source),
        Value("ready_by", Words("Ready by"), _clock(plan.ready_by), source=cycle.source),
        Value("hours", Words("Whole time"), (plan.ready_by - start).total_seconds() / 3600, "h", 2, DERIVED),
    )
    cautions = (*plan.notes, f"{COOLING_SOURCE.words}.")
    return Result(values, (str(cycle.label),), cautions, (_timetable(plan),))


def _on_the_clock(moment: datetime) -> datetime:
    """Refuse a clock time that the change to summer time leaves out."""
    there_and_back = datetime.fromtimestamp(moment.timestamp(), moment.tzinfo)
    if there_and_back.replace(tzinfo=None) != moment.replace(tzinfo=None):
        raise InputError(
            "time", moment.replace(tzinfo=None).isoformat(), Words("a time that this day's clock shows")
        )
    return moment


def _cycle(given: Given) -> Cycle:
    rows = given.rows("own_steps")
    if not rows:
        return CURING_CYCLES[given.text("cycle")]
    if any(len(row) != 2 for row in rows):
        raise InputError("own_steps", rows, Words("minutes and °C for each step, 0 °C for cooling"))
    steps = tuple(
        Step(Words("cool") if not degrees else figure(f"{degrees:g} °C"), minutes, degrees or None)
        for minutes, degrees in rows
    )
    return replace(CURING_CYCLES[given.text("cycle")], label=Words("The laboratory's own cycle"), steps=steps)


def _timetable(plan: Schedule) -> Table:
    rows = tuple(
        (each.step.name, each.step.temperature, each.step.minutes, _clock(each.start), _clock(each.end))
        for each in plan.steps
    )
    return Table(
        Words("By the clock"),
        (Words("step"), "°C", Words("minutes"), Words("from"), Words("to")),
        rows,
    )


def _clock(moment: datetime) -> str:
    return moment.isoformat(timespec="minutes")


def _shrinkage(given: Given) -> Result:
    width = given.number("width")
    found = expected_shrinkage(width, observed=(given.number("least") / 100, given.number("most") / 100))
    middle = (found.least + found.most) / 2 / width
    cooling = thermal_change(
        width, hot=given.number("curing_temperature"), cold=given.number("room_temperature")
    )
    stone = given.number("stone_expansion") / 100
    values = (
        Value("least", Words("Loss at the least"), found.least, "mm", 2, OBSERVED_SOURCE),
        Value("most", Words("Loss at the most"), found.most, "mm", 2, OBSERVED_SOURCE),
        Value("expected", Words("Width expected"), found.expected, "mm", 2, OBSERVED_SOURCE, found.u),
        Value("scale_factor", Words("Enlarge beforehand by"), scale_factor(middle), "", 6, DERIVED),
        Value("thermal", Words("Loss by cooling alone"), cooling, "mm", 2, POLYMER_EXPANSION_SOURCE),
        Value(
            "net_factor",
            Words("Width left after the stone's expansion too"),
            net_factor(stone_expansion=stone, shrinkage=middle),
            "",
            5,
            DERIVED,
        ),
    )
    steps = (
        Words("{width:g} mm × {least:g} to {most:g} % = {least_loss:.2f} to {most_loss:.2f} mm").of(
            width=width,
            least=given.number("least"),
            most=given.number("most"),
            least_loss=found.least,
            most_loss=found.most,
        ),
        figure(f"1 / (1 − {middle:.4f}) = {scale_factor(middle):.6f}"),
    )
    return Result(values, steps, (MATERIAL_FIRST,))


CALCULATORS = (
    Calculator(
        "gypsum",
        Words("Gypsum: powder and water for a cast"),
        "materials",
        Words("From the volume of the cast and the water to powder ratio."),
        (
            number("volume", Words("Volume of the cast"), "cm³", 1, 2000),
            choice("kind", Words("Type"), _KINDS, default="type 3: dental stone"),
            number(
                "ratio",
                Words("Water per g of powder, the type's middle unless given"),
                "g/g",
                0.187,
                1.0,
                optional=True,
            ),
            number(
                "powder_density", Words("Density of the powder"), "g/cm³", 2.0, 3.5, default=POWDER_DENSITY
            ),
            number("waste", Words("Waste"), "%", 0, 100, default=0.0),
            number("unit", Words("Powder comes in units of"), "g", 0.1, 5000, optional=True),
        ),
        _gypsum,
        {"volume": 60, "ratio": 0.30, "powder_density": 2.75},
        (
            Check("powder", 90.4, 0.05, DERIVED),
            Check("water", 27.1, 0.05, DERIVED),
            Check("excess_water", 11.4, 0.05, DERIVED),
        ),
    ),
    Calculator(
        "polymer",
        Words("Denture base polymer: powder and liquid"),
        "materials",
        Words("From the volume of dough."),
        (
            number("volume", Words("Volume of dough"), "cm³", 0.5, 500),
            number("ratio", Words("Polymer per mL of monomer"), "g/mL", 1.0, 4.0, default=USUAL_RATIO),
            number("waste", Words("Waste"), "%", 0, 100, default=0.0),
        ),
        _polymer,
        {"volume": 27, "ratio": 2.0},
        (
            Check("polymer", 20.14, 0.005, DERIVED),
            Check("monomer", 10.07, 0.005, DERIVED),
            Check("dough_shrinkage", 7.68, 0.005, DERIVED),
            Check("monomer_shrinkage", 20.6, 0.05, DERIVED),
            Check("linear", 2.63, 0.005, DERIVED),
        ),
    ),
    Calculator(
        "curing",
        Words("Curing by the clock"),
        "materials",
        Words("When each step ends, or when to start; right through the change of the clocks."),
        (
            Input("time", Words("Date and time"), kind=Kind.MOMENT),
            choice("time_is", Words("That is when it"), ("starts", "ready by"), default="starts"),
            choice("cycle", Words("Cycle"), CURING_CYCLES, default="long"),
            Input("time_zone", Words("Time zone"), default="UTC", required=False, kind=Kind.TEXT),
            Input(
                "own_steps",
                Words("Own steps: minutes and °C, 0 °C for cooling"),
                "",
                0,
                2880,
                None,
                False,
                Kind.ROWS,
            ),
        ),
        _curing,
        {"time": "2026-11-25T17:30", "cycle": "long"},
        (Check("hours", 8.75, 0.001, DERIVED),),
    ),
    Calculator(
        "shrinkage",
        Words("Shrinkage expected across a width"),
        "materials",
        Words("What a width on the wax becomes in the processed base."),
        (
            number("width", Words("Width"), "mm", 1, 120),
            number("least", Words("Linear shrinkage at the least"), "%", 0, 5, default=100 * OBSERVED[0]),
            number("most", Words("Linear shrinkage at the most"), "%", 0, 5, default=100 * OBSERVED[1]),
            number("stone_expansion", Words("Setting expansion of the stone"), "%", 0, 1, default=0.2),
            number("curing_temperature", Words("Curing temperature"), "°C", 20, 180, default=75.0),
            number("room_temperature", Words("Room temperature"), "°C", 5, 40, default=20.0),
        ),
        _shrinkage,
        {"width": 50},
        (
            Check("least", 0.21, 0.005, DERIVED),
            Check("most", 0.29, 0.005, DERIVED),
            Check("scale_factor", 1.005025, 0.000001, DERIVED),
            Check("thermal", 0.22, 0.005, DERIVED),
            Check("net_factor", 0.99699, 0.000005, DERIVED),
        ),
    ),
)
