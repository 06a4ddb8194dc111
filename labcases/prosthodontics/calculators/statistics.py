"""Calculators of quality statistics."""

from __future__ import annotations

from labcases.prosthodontics.calculators.definition import Calculator, Check
from labcases.prosthodontics.calculators.inputs import Given, Kind, count, number, series
from labcases.prosthodontics.calculators.results import Result, Table, Value
from labcases.prosthodontics.calculators.sources import DERIVED, HANDBOOK
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.statistics import (
    Chart,
    bland_altman,
    capability,
    clopper_pearson,
    count_chart,
    dahlberg,
    ewma_chart,
    individuals_chart,
    mean_and_range_chart,
    proportion_chart,
    signals,
    wilson,
)
from labcases.prosthodontics.wording import Words, figure

NEVER_POOL = Words(
    "Chart (measured − target) / tolerance where tolerances differ; never pool limits across them."
)
BLAND = Source("Bland JM, Altman DG, Lancet 1986;i:307-310", Provenance.RECALLED, "H")


def _limits(chart: Chart, what: str, prefix: str, places: int, source: Source) -> list[Value]:
    return [
        Value(f"{prefix}centre", Words("{what}: centre").of(what=what), chart.centre, "", places, source),
        Value(
            f"{prefix}lower", Words("{what}: lower limit").of(what=what), chart.lower[-1], "", places, source
        ),
        Value(
            f"{prefix}upper", Words("{what}: upper limit").of(what=what), chart.upper[-1], "", places, source
        ),
    ]


def _points(chart: Chart, title: str) -> Table:
    rows = tuple(
        (
            i + 1,
            round(point, 5),
            round(low, 5),
            round(high, 5),
            Words("outside") if i in chart.outside else "",
        )
        for i, (point, low, high) in enumerate(zip(chart.points, chart.lower, chart.upper, strict=True))
    )
    return Table(
        title, (Words("point"), Words("value"), Words("lower limit"), Words("upper limit"), ""), rows
    )


def _patterns(chart: Chart) -> tuple[str, ...]:
    if chart.sigma <= 0:
        return (str(Words("All points are alike.")),)
    found = signals(chart.points, centre=chart.centre, sigma=chart.sigma)
    return tuple(each.words for each in found) or (str(Words("No pattern that chance seldom makes.")),)


def _individuals(given: Given) -> Result:
    singles, ranges = individuals_chart(given.numbers("values"))
    values = (
        *_limits(singles, Words("Values"), "", 4, HANDBOOK),
        *_limits(ranges, Words("Moving ranges"), "range_", 4, HANDBOOK),
    )
    steps = (
        Words("Mean {mean:.4f} ± 3 × {mean_range:.4f} / 1.1284").of(
            mean=singles.centre, mean_range=ranges.centre
        ),
        *_patterns(singles),
    )
    return Result(
        values,
        steps,
        (NEVER_POOL,),
        (_points(singles, Words("Values")), _points(ranges, Words("Moving ranges"))),
    )


def _ewma(given: Given) -> Result:
    chart = ewma_chart(
        given.numbers("values"),
        target=given.number("target"),
        sigma=given.number("sigma"),
        weight=given.number("weight"),
    )
    last = Value("last", Words("Last average"), chart.points[-1], "", 4, HANDBOOK)
    weight = given.number("weight")
    steps = (
        Words("E = {weight:g} × value + {rest:g} × last E, from {centre:g}").of(
            weight=weight, rest=1 - weight, centre=chart.centre
        ),
    )
    return Result(
        (*_limits(chart, Words("Averages"), "", 4, HANDBOOK), last),
        steps,
        (NEVER_POOL,),
        (_points(chart, Words("Averages")),),
    )


def _counts(given: Given) -> Result:
    chart = count_chart(given.counts("counts"))
    steps = (figure(f"{chart.centre:.4f} ± 3 × √{chart.centre:.4f}"), *_patterns(chart))
    return Result(
        tuple(_limits(chart, Words("Faults"), "", 4, HANDBOOK)),
        steps,
        (),
        (_points(chart, Words("Faults per lot")),),
    )


def _proportions(given: Given) -> Result:
    faulty = given.counts("faulty")
    sizes = given.counts("sizes")
    if len(sizes) == 1:
        sizes = sizes * len(faulty)
    chart = proportion_chart(faulty, sizes)
    steps = (figure(f"p̄ = {sum(faulty)} / {sum(sizes)} = {chart.centre:.4f}; p̄ ± 3 × √(p̄(1 − p̄)/n)"),)
    return Result(
        tuple(_limits(chart, Words("Faulty part"), "", 4, HANDBOOK)),
        steps,
        (),
        (_points(chart, Words("Faulty part")),),
    )


def _groups(given: Given) -> Result:
    means, ranges = mean_and_range_chart(given.rows("groups"))
    values = (
        *_limits(means, Words("Means"), "", 5, DERIVED),
        *_limits(ranges, Words("Ranges"), "range_", 5, DERIVED),
    )
    return Result(
        values,
        _patterns(means),
        (NEVER_POOL,),
        (_points(means, Words("Means")), _points(ranges, Words("Ranges"))),
    )


def _capability(given: Given) -> Result:
    n = given.count("n") if given.has("n") else None
    mean, sigma = given.number("mean"), given.number("sigma")
    lower, upper = given.number("lower"), given.number("upper")
    found = capability(mean=mean, sigma=sigma, lower=lower, upper=upper, n=n)
    values = [Value("cp", "Cp", found.cp, "", 4, HANDBOOK), Value("cpk", "Cpk", found.cpk, "", 4, HANDBOOK)]
    for name, interval in (("cp", found.cp_interval), ("cpk", found.cpk_interval)):
        if interval is not None:
            values.append(
                Value(
                    f"{name}_from",
                    Words("{name}, 95 % interval from").of(name=name.capitalize()),
                    interval[0],
                    "",
                    4,
                    DERIVED,
                )
            )
            values.append(
                Value(
                    f"{name}_to",
                    Words("{name}, 95 % interval to").of(name=name.capitalize()),
                    interval[1],
                    "",
                    4,
                    DERIVED,
                )
            )
    steps = (
        figure(f"Cp = ({upper:g} − {lower:g}) / (6 × {sigma:g})"),
        figure(f"Cpk = min({upper:g} − {mean:g}, {mean:g} − {lower:g}) / (3 × {sigma:g})"),
    )
    return Result(tuple(values), steps, (*found.notes, Words("Holds for a stable process only.")))


def _proportion(given: Given) -> Result:
    hits, n, confidence = given.count("count"), given.count("n"), given.number("confidence") / 100
    low, high = wilson(hits, n, confidence=confidence)
    exact_low, exact_high = clopper_pearson(hits, n, confidence=confidence)
    values = (
        Value("share", Words("Share"), hits / n, "", 4, DERIVED),
        Value("wilson_from", Words("Wilson interval from"), low, "", 5, DERIVED),
        Value("wilson_to", Words("Wilson interval to"), high, "", 5, DERIVED),
        Value("exact_from", Words("Clopper–Pearson interval from"), exact_low, "", 6, DERIVED),
        Value("exact_to", Words("Clopper–Pearson interval to"), exact_high, "", 6, DERIVED),
    )
    return Result(
        values,
        (
            Words("{hits} of {n} at {confidence:g} % confidence").of(
                hits=hits, n=n, confidence=100 * confidence
            ),
        ),
    )


def _agreement(given: Given) -> Result:
    first, second = given.numbers("first"), given.numbers("second")
    found = bland_altman(first, second)
    differences = [a - b for a, b in zip(first, second, strict=True)]
    values = (
        Value(
            "dahlberg", Words("Error of a single reading (Dahlberg)"), dahlberg(differences), "", 5, DERIVED
        ),
        Value("bias", Words("Mean difference, first minus second"), found.bias, "", 4, BLAND),
        Value("spread", Words("Standard deviation of the differences"), found.spread, "", 5, BLAND),
        Value("lower", Words("Lower limit of agreement"), found.lower, "", 4, BLAND),
        Value("upper", Words("Upper limit of agreement"), found.upper, "", 4, BLAND),
    )
    return Result(values, (figure(f"{found.bias:.4f} ± 1.96 × {found.spread:.5f}"),))


_VALUES = series("values", Words("Values in their order"), "", -100000, 100000)

CALCULATORS = (
    Calculator(
        "individuals_chart",
        Words("Chart of single values and moving ranges"),
        "statistics",
        Words("Limits from the moving range of two."),
        (_VALUES,),
        _individuals,
        {"values": [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]},
        (
            Check("centre", 50.81, 0.001, HANDBOOK),
            Check("upper", 55.8041, 0.002, HANDBOOK),
            Check("lower", 45.8159, 0.002, HANDBOOK),
            Check("range_centre", 1.8778, 0.00005, HANDBOOK),
            Check("range_upper", 6.1347, 0.002, HANDBOOK),
        ),
    ),
    Calculator(
        "ewma_chart",
        Words("Chart of weighted moving averages"),
        "statistics",
        Words("Catches a slow drift."),
        (
            _VALUES,
            number("target", Words("Target"), "", -100000, 100000),
            number("sigma", Words("Standard deviation of single values"), "", 0.000001, 100000),
            number("weight", Words("Weight of the newest value"), "", 0.01, 1, default=0.3),
        ),
        _ewma,
        {
            "values": [
                52,
                47,
                53,
                49.3,
                50.1,
                47,
                51,
                50.1,
                51.2,
                50.5,
                49.6,
                47.6,
                49.9,
                51.3,
                47.8,
                51.2,
                52.6,
                52.4,
                53.6,
                52.1,
            ],
            "target": 50,
            "sigma": 2.0539,
        },
        (
            Check("last", 51.99, 0.005, HANDBOOK),
            Check("upper", 52.5884, 0.0005, HANDBOOK),
            Check("lower", 47.4115, 0.0005, HANDBOOK),
        ),
    ),
    Calculator(
        "count_chart",
        Words("Chart of faults per lot"),
        "statistics",
        Words("c chart, lots of equal size."),
        (series("counts", Words("Faults in each lot"), "", 0, 100000, kind=Kind.COUNTS),),
        _counts,
        {
            "counts": [
                16,
                14,
                28,
                16,
                12,
                20,
                10,
                12,
                10,
                17,
                19,
                17,
                14,
                16,
                15,
                13,
                14,
                16,
                11,
                20,
                11,
                19,
                16,
                31,
                13,
            ]
        },
        (Check("centre", 16, 0, HANDBOOK), Check("upper", 28, 0, HANDBOOK), Check("lower", 4, 0, HANDBOOK)),
    ),
    Calculator(
        "proportion_chart",
        Words("Chart of the faulty part"),
        "statistics",
        Words("p chart; one size for all lots, or one for each."),
        (
            series("faulty", Words("Faulty in each lot"), "", 0, 100000, kind=Kind.COUNTS),
            series("sizes", Words("Size of the lots"), "", 1, 100000, kind=Kind.COUNTS),
        ),
        _proportions,
        {
            "faulty": [
                12,
                15,
                8,
                10,
                4,
                7,
                16,
                9,
                14,
                10,
                5,
                6,
                17,
                12,
                22,
                8,
                10,
                5,
                13,
                11,
                20,
                18,
                24,
                15,
                9,
                12,
                7,
                13,
                9,
                6,
            ],
            "sizes": [50],
        },
        (
            Check("centre", 0.2313, 0.00005, HANDBOOK),
            Check("upper", 0.4103, 0.0002, HANDBOOK),
            Check("lower", 0.0524, 0.0001, HANDBOOK),
        ),
    ),
    Calculator(
        "mean_and_range_chart",
        Words("Chart of means and ranges"),
        "statistics",
        Words("Subgroups of 2 to 10 values."),
        (series("groups", Words("Subgroups"), "", -100000, 100000, kind=Kind.ROWS),),
        _groups,
        {"groups": [[22.0, 22.2, 21.9], [22.1, 21.8, 22.0], [21.9, 22.0, 22.3], [22.2, 22.1, 22.0]]},
        (Check("centre", 22.041667, 0.000006, DERIVED), Check("upper", 22.348657, 0.00003, DERIVED)),
    ),
    Calculator(
        "capability",
        Words("Capability of a stable process"),
        "statistics",
        Words("Cp and Cpk with their intervals."),
        (
            number("mean", Words("Mean"), "", -100000, 100000),
            number("sigma", Words("Standard deviation"), "", 0.000001, 100000),
            number("lower", Words("Lower limit"), "", -100000, 100000),
            number("upper", Words("Upper limit"), "", -100000, 100000),
            count("n", Words("Number of values"), 2, 1000000, optional=True),
        ),
        _capability,
        {"mean": 16, "sigma": 2, "lower": 8, "upper": 20, "n": 50},
        (
            Check("cp", 1.0, 0.0001, HANDBOOK),
            Check("cpk", 0.6667, 0.0001, HANDBOOK),
            Check("cp_from", 0.8025, 0.0001, DERIVED),
            Check("cp_to", 1.1971, 0.0001, DERIVED),
            Check("cpk_from", 0.5056, 0.0001, DERIVED),
            Check("cpk_to", 0.8278, 0.0001, DERIVED),
        ),
    ),
    Calculator(
        "proportion_interval",
        Words("Interval of a proportion"),
        "statistics",
        Words("Such as remakes among finished cases."),
        (
            count("count", Words("Hits"), 0, 1000000),
            count("n", Words("Out of"), 1, 1000000),
            number("confidence", Words("Confidence"), "%", 50, 99.9, default=95.0),
        ),
        _proportion,
        {"count": 4, "n": 20},
        (Check("wilson_from", 0.08066, 0.00001, DERIVED), Check("wilson_to", 0.41602, 0.00001, DERIVED)),
    ),
    Calculator(
        "agreement",
        Words("Two readings of the same things"),
        "statistics",
        Words("Dahlberg's error and the limits of agreement."),
        (
            series("first", Words("First readings"), "", -100000, 100000),
            series("second", Words("Second readings"), "", -100000, 100000),
        ),
        _agreement,
        {"first": [22.0, 21.5, 18.2, 17.9, 22.4, 20.9], "second": [22.2, 21.4, 18.0, 18.1, 22.3, 21.2]},
        (
            Check("dahlberg", 0.13844, 0.00001, DERIVED),
            Check("bias", -0.05, 0.0001, DERIVED),
            Check("spread", 0.20736, 0.00001, DERIVED),
            Check("lower", -0.4564, 0.0001, DERIVED),
            Check("upper", 0.3564, 0.0001, DERIVED),
        ),
    ),
)
