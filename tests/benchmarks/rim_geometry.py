"""How long the rim's geometry takes, as a ratio to a floor measured in the same run.

The floor is the least that any outline must do on this machine: trace as many points by plain NumPy
arithmetic and check one polygon of as many corners with Shapely. Processor time is measured, in rounds that
take turns, so that a busy machine weighs on all alike. Nothing here is asserted: run it with

    python -m tests.benchmarks.rim_geometry
"""

import statistics
import time
from collections.abc import Callable
from decimal import Decimal

import numpy as np
from shapely.geometry import Polygon

from labcases.prosthodontics.arch import CastMeasurements, arch_from_cast
from labcases.prosthodontics.outline import (
    RimOutline,
    RimPlan,
    front_view,
    outline_rim,
    rim_volume,
    section,
    side_view,
)
from labcases.prosthodontics.specification.rims import specify_rims
from labcases.prosthodontics.standard import HOUSE_STANDARD
from labcases.prosthodontics.strip import tooth_strip
from labcases.tickets.drawing.true_size import rim_view

ROUNDS = 60
FIGURES = {
    "sulcus_to_papilla": Decimal("12.5"),
    "papilla_to_resting_lip": Decimal("7.5"),
    "incisal_display": Decimal("1.0"),
}


def floor() -> float:
    """Length of an ellipse traced at as many points as an outline has, and one valid polygon of them."""
    angle = np.linspace(0, 2 * np.pi, 643)
    points = np.stack([25 * np.cos(angle), 46 * np.sin(angle)], axis=1)
    steps = np.diff(points, axis=0)
    return float(np.hypot(steps[:, 0], steps[:, 1]).sum()) * Polygon(points).is_valid


def outline() -> RimOutline:
    """From the cast's measurements to the checked outline from above."""
    cast = CastMeasurements.symmetric(
        "maxillary", posterior_width=50, depth=46, canine_width=32, canine_depth=9
    )
    return outline_rim(
        RimPlan(
            arch="maxillary",
            crest=arch_from_cast(cast),
            anterior_width=8,
            posterior_width=10,
            canine_left=16,
            canine_right=16,
            labial_offset=8.5,
            papilla_behind_crest=2,
            labial_inclination=100,
        )
    )


def specification_with_drawing() -> object:
    """One whole specification with everything that its drawing needs."""
    lines = specify_rims("maxillary", figures=FIGURES, prescribed={}, standard=HOUSE_STANDARD)
    made = outline()
    views = (front_view(made), side_view(made, "left"), section(made, 0.0))
    return lines, made.ring, made.stations, views


def true_size() -> object:
    """The outline with everything that is drawn around it on the sheet at true size."""
    return rim_view(outline())


def strip() -> object:
    """The tooth-outline strip of a rim that stands already."""
    return tooth_strip(STANDING, widths=(8.5, 6.5, 7.5, 7.0, 7.0), length=10.5, face_height=14)


def volume() -> float:
    """The wax of a rim that stands already."""
    return rim_volume(STANDING)


STANDING = outline()
MEASURED: dict[str, tuple[Callable[[], object], float | None]] = {
    "outline at true size": (outline, 20.0),
    "drawn at true size": (true_size, 20.0),
    "specification with drawing": (specification_with_drawing, 5.0),
    "tooth-outline strip": (strip, None),
    "volume of wax": (volume, None),
}


def milliseconds(work: Callable[[], object]) -> float:
    """Processor time of one run."""
    start = time.process_time()
    work()
    return 1000 * (time.process_time() - start)


def medians(works: dict[str, Callable[[], object]]) -> dict[str, float]:
    """Median of ROUNDS runs of each work, after one to warm up."""
    for work in works.values():
        work()
    rounds = [{name: milliseconds(work) for name, work in works.items()} for _ in range(ROUNDS)]
    return {name: statistics.median(times[name] for times in rounds) for name in works}


def main() -> None:
    """Print one line for each measured work: median, ratio to the floor, and the budget where one is set."""
    found = medians({"floor": floor} | {name: work for name, (work, _) in MEASURED.items()})
    print(f"{'floor':<28} {found['floor']:8.3f} ms")
    for name, (_, budget) in MEASURED.items():
        against = "" if budget is None else f"   budget {budget:g} ms"
        print(f"{name:<28} {found[name]:8.3f} ms {found[name] / found['floor']:8.1f} × floor{against}")


if __name__ == "__main__":
    main()
