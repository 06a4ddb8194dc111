"""Rims on random plausible casts: 300 in every run, 20,000 in the long one. A failure names its seed."""

from functools import lru_cache

import numpy as np
import pytest
import trimesh
from shapely.geometry import LineString, Polygon

from labcases.prosthodontics.outline import ImpossibleRim, outline_rim, rim_volume
from tests.prosthodontics.outline.rims import random_plan

FEW, MANY = 300, 20_000
runs = pytest.mark.parametrize(
    "seeds", [range(FEW), pytest.param(range(FEW, MANY), marks=pytest.mark.full)], ids=["fast", "full"]
)


@lru_cache(maxsize=FEW)
def rim_of(seed, **kwargs):
    return outline_rim(random_plan(seed, **kwargs))


def made(seeds, **kwargs):
    """Every rim that can be made; the share that can't must stay small, or the tests would test nothing."""
    refused = []
    for seed in seeds:
        try:
            yield seed, rim_of(seed, **kwargs)
        except ImpossibleRim as refusal:
            refused.append(refusal.allowed)
    assert all(refused)
    assert len(refused) <= 0.05 * len(seeds)


@runs
def test_every_outline_is_one_closed_simple_polygon(seeds, proof):
    for seed, outline in made(seeds):
        polygon = Polygon(outline.ring)
        assert (outline.ring[0] == outline.ring[-1]).all(), seed
        assert np.isfinite(outline.ring).all(), seed
        assert polygon.is_valid, seed
        assert polygon.area > 0, seed
    proof("rims-of-random-casts").reached(len(seeds), "casts")


@runs
def test_the_width_at_eleven_stations_is_the_width_asked_for(seeds):
    """Measured on the drawn polygon by Shapely, across the rim's course, within 0.05 mm."""
    for seed, outline in made(seeds):
        plan = outline.plan
        for station in outline.stations:
            name = station.name.split("_")[0]
            if name == "end":
                continue
            measured = width_across(outline, station)
            assert measured == pytest.approx(station.width, abs=0.05), (seed, station.name)
            if name in ("midline", "front", "canine"):
                assert measured == pytest.approx(plan.anterior_width, abs=0.05), seed
            if name == "molar":
                assert measured == pytest.approx(plan.posterior_width, abs=0.05), seed
        for station in (outline.station("end_left"), outline.station("end_right")):
            length = float(np.hypot(*np.subtract(station.labial, station.lingual)))
            assert length == pytest.approx(plan.posterior_width, abs=0.05), seed


def width_across(outline, station):
    middle, labial = np.array(station.middle), np.array(station.labial)
    outward = (labial - middle) / np.hypot(*(labial - middle))
    reach = station.width / 2 + 1.5
    line = LineString([middle - reach * outward, middle + reach * outward])
    return line.intersection(outline.polygon).length


@runs
def test_a_symmetric_cast_gives_a_mirrored_rim(seeds):
    for seed, outline in made(seeds[::3], symmetric=True):
        mirrored = outline.labial[::-1] * [-1, 1]
        assert np.abs(outline.labial - mirrored).max() < 1e-6, seed
        assert np.abs(outline.lingual - outline.lingual[::-1] * [-1, 1]).max() < 1e-6, seed


@runs
def test_the_volume_is_that_of_an_independent_solid(seeds):
    """Within 0.5 % of a closed triangle mesh measured by trimesh."""
    for seed, outline in made(seeds[::6]):
        mesh = solid(outline)
        assert mesh.is_watertight, seed
        assert rim_volume(outline) == pytest.approx(mesh.volume, rel=0.005), seed


def solid(outline):
    """The rim as a mesh: a ring of four corners at each station, capped at both ends."""
    sides = []
    for course, sign in ((outline.right, -1), (outline.left, 1)):
        body = np.concatenate(
            [np.linspace(0, course.table_end, 90), np.linspace(course.table_end, course.foot, 20)[1:]]
        )
        sides.append(sign * body)
    frames = outline.frames_at(np.concatenate([sides[0][:0:-1], sides[1]]))
    cut = np.minimum(frames.cut, frames.height)
    corners = []
    for across, z in (
        (frames.width / 2 - cut * frames.lean, cut),
        (frames.width / 2 - frames.height * frames.lean, frames.height),
        (-frames.width / 2, frames.height),
        (-frames.width / 2, cut),
    ):
        flat = frames.middle + frames.outward * across[:, None]
        corners.append(np.column_stack([flat, z]))
    vertices = np.stack(corners, axis=1).reshape(-1, 3)
    faces = []
    for i in range(len(frames.s) - 1):
        for k in range(4):
            a, b = 4 * i + k, 4 * i + (k + 1) % 4
            faces += [(a, b, a + 4), (b, b + 4, a + 4)]
    last = 4 * (len(frames.s) - 1)
    faces += [(0, 2, 1), (0, 3, 2), (last, last + 1, last + 2), (last, last + 2, last + 3)]
    mesh = trimesh.Trimesh(vertices, faces, process=False)
    if mesh.volume < 0:
        mesh.invert()
    return mesh


@runs
def test_the_rim_is_centred_over_the_crest_behind_the_canine_lines(seeds):
    for seed, outline in made(seeds):
        for name in ("canine", "premolar", "molar", "end"):
            for side in ("left", "right"):
                station = outline.station(f"{name}_{side}")
                assert station.middle == pytest.approx(station.crest, abs=1e-9), seed


@runs
def test_the_labial_face_stands_at_the_chosen_distance_from_the_papilla(seeds):
    for seed, outline in made(seeds):
        if outline.papilla is None:
            continue
        labial = outline.station("midline").labial
        assert labial[0] == pytest.approx(0, abs=1e-9), seed
        assert labial[1] - outline.papilla[1] == pytest.approx(outline.plan.labial_offset, abs=1e-9), seed
