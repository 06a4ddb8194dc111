"""Rims for tests: one usual maxillary rim, and random plausible ones from a seed."""

from dataclasses import replace

import numpy as np

from labcases.prosthodontics.arch import CastMeasurements, SideMeasurements, arch_from_cast
from labcases.prosthodontics.outline import CrestHeights, PapillaPoint, RimPlan


def usual_plan(**changes):
    cast = CastMeasurements.symmetric(
        "maxillary", posterior_width=50, depth=46, canine_width=32, canine_depth=9
    )
    plan = RimPlan(
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
    return replace(plan, **changes)


def random_plan(seed, *, symmetric=False):
    """A plausible rim on a plausible cast; the ranges are the tests' own and no norms."""
    random = np.random.default_rng(seed)
    right = random_side(random)
    left = right if symmetric else random_side(random, near=right)
    arch = str(random.choice(["maxillary", "mandibular"]))
    anterior = random.uniform(4, 8.5)
    heights = CrestHeights(
        anterior=random.uniform(6, 12),
        posterior_left=random.uniform(4, 9),
        posterior_right=random.uniform(4, 9),
    )
    if symmetric:
        heights = replace(heights, posterior_right=heights.posterior_left)
    return RimPlan(
        arch=arch,
        crest=arch_from_cast(CastMeasurements(arch=arch, left=left, right=right)),
        anterior_width=anterior,
        posterior_width=anterior + random.uniform(0, 3),
        canine_left=left.canine_half_width,
        canine_right=right.canine_half_width,
        labial_offset=None if arch == "mandibular" else random.uniform(5, 10),
        papilla_reference=PapillaPoint(random.choice(list(PapillaPoint))),
        papilla_behind_crest=random.uniform(0, 3),
        labial_inclination=random.uniform(90, 105),
        heights=heights,
        posterior_end_angle=random.uniform(30, 60),
        end_clearance=random.uniform(0, 4),
    )


def random_side(random, *, near=None):
    half = random.uniform(22, 29) if near is None else near.half_width + random.uniform(-1.5, 1.5)
    depth = random.uniform(40, 54) if near is None else near.depth + random.uniform(-1.5, 1.5)
    canine = random.uniform(0.55, 0.68) * half
    level = (1 - (canine / half) ** 2) ** random.uniform(0.45, 0.9)
    return SideMeasurements(
        half_width=half, depth=depth, canine_half_width=canine, canine_depth=depth * (1 - level)
    )
