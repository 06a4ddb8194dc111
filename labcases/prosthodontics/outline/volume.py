"""Wax over the crest of the ridge."""

from __future__ import annotations

import numpy as np

from labcases.prosthodontics.arch.halves import Array
from labcases.prosthodontics.outline.frames import Frames
from labcases.prosthodontics.outline.rim import RimOutline


def rim_volume(outline: RimOutline) -> float:
    """Wax between occlusal surface and crest, sloped ends included, mm³.

    The solid is swept along the rim's course: with u measured outwards from its middle and z from the
    occlusal surface, a slice holds ∬(ds + u·dψ) du dz, where ψ is the turn of the course.
    """
    frames = outline.frames_at(_edges(outline))
    middle = outline.frames_at((frames.s[1:] + frames.s[:-1]) / 2)
    area, moment = _slice(middle, middle.height)
    cut_area, cut_moment = _slice(middle, np.minimum(middle.cut, middle.height))
    run = middle.stretch * np.diff(frames.s)
    return float((run * (area - cut_area) + frames.turning() * (moment - cut_moment)).sum())


def _slice(frames: Frames, z: Array) -> tuple[Array, Array]:
    """Area (mm²) and first moment about the rim's middle (mm³) of a slice from the surface up to `z`."""
    width, lean = frames.width, frames.lean
    area = width * z - lean * z**2 / 2
    moment = (-width * lean * z**2 / 2 + lean**2 * z**3 / 3) / 2
    return area, moment


def _edges(outline: RimOutline) -> Array:
    sides = []
    for course in (outline.right, outline.left):
        body = np.linspace(0.0, course.table_end, 161)
        slope = np.linspace(course.table_end, max(course.foot, course.table_end), 41)
        sides.append(np.concatenate([body, slope[1:]]))
    right, left = sides
    return np.concatenate([-right[:0:-1], left])
