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

NEVER_POOL = "Chart (measured − target) / tolerance where tolerances differ; never pool limits across them."
BLAND = Source("Bland JM, Altman DG, Lancet 1986;i:307-310", Provenance.RECALLED, "H")


def _limits(chart: Chart, what: str, prefix: str, places: int, source: Source) -> list[Value]:
    return [
        Value(f"{prefix}centre", f"{what}: centre", chart.centre, "", places, source),
        Value(f"{prefix}lower", f"{what}: lower limit", chart.lower[-1], "", places, source),
        Value(f"{prefix}upper", f"{what}: upper limit", chart.upper[-1], "", places, source),
    ]


def _points(chart: Chart, title: str) -> Table:
    rows = tuple(
        (i + 1, round(point, 5), round(low, 5), round(high, 5), "outside" if i in chart.outside else "")
        for i, (point, low, high) in enumerate(zip(chart.points, chart.lower, chart.upper, strict=True))
    )
    return Table(title, ("point", "value", "lower limit", "upper limit", ""), rows)


def _patterns(chart: Chart) -> tuple[str, ...]:
    if chart.sigma <= 0:
        return ("All points are alike.",)
    found = signals(chart.points, centre=chart.centre, sigma=chart.sigma)
    return tuple(each.words for each in found) or ("No pattern that chance seldom makes.",)


def _individuals(given: Given) -> Result:
    singles, ranges = individuals_chart(given.numbers("values"))
    values = (
        *_limits(singles, "Values", "", 4, HANDBOOK),
        *_limits(ranges, "Moving ranges", "range_", 4, HANDBOOK),
    )
    steps = (f"Mean {singles.centre:.4f} ± 3 × {ranges.centre:.4f} / 1.1284", *_patterns(singles))
    return Result(
        values, steps, (NEVER_POOL,), (_points(singles, "Values"), _points(ranges, "Moving ranges"))
    )


def _ewma(given: Given) -> Result:
    chart = ewma_chart(
        given.numbers("values"),
        target=given.number("target"),
        sigma=given.number("sigma"),
        weight=given.number("weight"),
    )
    last = Value("last", "Last average", chart.points[-1], "", 4, HANDBOOK)
    weight = given.number("weight")
    steps = (f"E = {weight:g} × value + {1 - weight:g} × last E, from {chart.centre:g}",)
    return Result(
        (*_limits(chart, "Averages", "", 4, HANDBOOK), last),
        steps,
        (NEVER_POOL,),
        (_points(chart, "Averages"),),
    )


def _counts(given: Given) -> Result:
    chart = count_chart(given.counts("counts"))
    steps = (f"{chart.centre:.4f} ± 3 × √{chart.centre:.4f}", *_patterns(chart))
    return Result(
        tuple(_limits(chart, "Faults", "", 4, HANDBOOK)), steps, (), (_points(chart, "Faults per lot"),)
    )


def _proportions(given: Given) -> Result:
    faulty = given.counts("faulty")
    sizes = given.counts("sizes")
    if len(sizes) == 1:
        sizes = sizes * len(faulty)
    chart = proportion_chart(faulty, sizes)
    steps = (f"p̄ = {sum(faulty)} / {sum(sizes)} = {chart.centre:.4f}; p̄ ± 3 × √(p̄(1 − p̄)/n)",)
    return Result(
        tuple(_limits(chart, "Faulty part", "", 4, HANDBOOK)), steps, (), (_points(chart, "Faulty part"),)
    )


def _groups(given: Given) -> Result:
    means, ranges = mean_and_range_chart(given.rows("groups"))
    values = (*_limits(means, "Means", "", 5, DERIVED), *_limits(ranges, "Ranges", "range_", 5, DERIVED))
    return Result(
        values, _patterns(means), (NEVER_POOL,), (_points(means, "Means"), _points(ranges, "Ranges"))
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
                Value(f"{name}_from", f"{name.capitalize()}, 95 % interval from", interval[0], "", 4, DERIVED)
            )
            values.append(
                Value(f"{name}_to", f"{name.capitalize()}, 95 % interval to", interval[1], "", 4, DERIVED)
            )
    steps = (
        f"Cp = ({upper:g} − {lower:g}) / (6 × {sigma:g})",
        f"Cpk = min({upper:g} − {mean:g}, {mean:g} − {lower:g}) / (3 × {sigma:g})",
    )
    return Result(tuple(values), steps, (*found.notes, "Holds for a stable process only."))


def _proportion(given: Given) -> Result:
    hits, n, confidence = given.count("count"), given.count("n"), given.number("confidence") / 100
    low, high = wilson(hits, n, confidence=confidence)
    exact_low, exact_high = clopper_pearson(hits, n, confidence=confidence)
    values = (
        Value("share", "Share", hits / n, "", 4, DERIVED),
        Value("wilson_from", "Wilson interval from", low, "", 5, DERIVED),
        Value("wilson_to", "Wilson interval to", high, "", 5, DERIVED),
        Value("exact_from", "Clopper–Pearson interval from", exact_low, "", 6, DERIVED),
        Value("exact_to", "Clopper–Pearson interval to", exact_high, "", 6, DERIVED),
    )
    return Result(values, (f"{hits} of {n} at {100 * confidence:g} % confidence",))


def _agreement(given: Given) -> Result:
    first, second = given.numbers("first"), given.numbers("second")
    found = bland_altman(first, second)
    differences = [a - b for a, b in zip(first, second, strict=True)]
    values = (
        Value("dahlberg", "Error of a single reading (Dahlberg)", dahlberg(differences), "", 5, DERIVED),
        Value("bias", "Mean difference, first minus second", found.bias, "", 4, BLAND),
        Value("spread", "Standard deviation of the differences", found.spread, "", 5, BLAND),
        Value("lower", "Lower limit of agreement", found.lower, "", 4, BLAND),
        Value("upper", "Upper limit of agreement", found.upper, "", 4, BLAND),
    )
    return Result(values, (f"{found.bias:.4f} ± 1.96 × {found.spread:.5f}",))


_VALUES = series("values", "Values in their order", "", -100000, 100000)

CALCULATORS = (
    Calculator(
        "individuals_chart",
        "Chart of single values and moving ranges",
        "statistics",
        "Limits from the moving range of two.",
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
        "Chart of weighted moving averages",
        "statistics",
        "Catches a slow drift.",
        (
            _VALUES,
            number("target", "Target", "", -100000, 100000),
            number("sigma", "Standard deviation of single values", "", 0.000001, 100000),
            number("weight", "Weight of the newest value", "", 0.01, 1, default=0.3),
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
        "Chart of faults per lot",
        "statistics",
        "c chart, lots of equal size.",
        (series("counts", "Faults in each lot", "", 0, 100000, kind=Kind.COUNTS),),
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
        "Chart of the faulty part",
        "statistics",
        "p chart; one size for all lots, or one for each.",
        (
            series("faulty", "Faulty in each lot", "", 0, 100000, kind=Kind.COUNTS),
            series("sizes", "Size of the lots", "", 1, 100000, kind=Kind.COUNTS),
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
        "Chart of means and ranges",
        "statistics",
        "Subgroups of 2 to 10 values.",
        (series("groups", "Subgroups", "", -100000, 100000, kind=Kind.ROWS),),
        _groups,
        {"groups": [[22.0, 22.2, 21.9], [22.1, 21.8, 22.0], [21.9, 22.0, 22.3], [22.2, 22.1, 22.0]]},
        (Check("centre", 22.041667, 0.000006, DERIVED), Check("upper", 22.348657, 0.00003, DERIVED)),
    ),
    Calculator(
        "capability",
        "Capability of a stable process",
        "statistics",
        "Cp and Cpk with their intervals.",
        (
            number("mean", "Mean", "", -100000, 100000),
            number("sigma", "Standard deviation", "", 0.000001, 100000),
            number("lower", "Lower limit", "", -100000, 100000),
            number("upper", "Upper limit", "", -100000, 100000),
            count("n", "Number of values", 2, 1000000, optional=True),
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
        "Interval of a proportion",
        "statistics",
        "Such as remakes among finished cases.",
        (
            count("count", "Hits", 0, 1000000),
            count("n", "Out of", 1, 1000000),
            number("confidence", "Confidence", "%", 50, 99.9, default=95.0),
        ),
        _proportion,
        {"count": 4, "n": 20},
        (Check("wilson_from", 0.08066, 0.00001, DERIVED), Check("wilson_to", 0.41602, 0.00001, DERIVED)),
    ),
    Calculator(
        "agreement",
        "Two readings of the same things",
        "statistics",
        "Dahlberg's error and the limits of agreement.",
        (
            series("first", "First readings", "", -100000, 100000),
            series("second", "Second readings", "", -100000, 100000),
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
