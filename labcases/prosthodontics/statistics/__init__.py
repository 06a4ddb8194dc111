"""Quality statistics of a laboratory: charts, capability, proportions and agreement between readings.

Limits of different tolerances are never pooled: chart (measured − target) / tolerance, see `in_tolerances`.
"""

from labcases.prosthodontics.statistics.agreement import bland_altman, dahlberg
from labcases.prosthodontics.statistics.capability import capability
from labcases.prosthodontics.statistics.charts import (
    Chart,
    count_chart,
    ewma_chart,
    in_tolerances,
    individuals_chart,
    mean_and_range_chart,
    proportion_chart,
)
from labcases.prosthodontics.statistics.proportions import clopper_pearson, wilson
from labcases.prosthodontics.statistics.runs import Signal, signals

__all__ = [
    "Chart",
    "Signal",
    "bland_altman",
    "capability",
    "clopper_pearson",
    "count_chart",
    "dahlberg",
    "ewma_chart",
    "in_tolerances",
    "individuals_chart",
    "mean_and_range_chart",
    "proportion_chart",
    "signals",
    "wilson",
]
