"""The rim from the side, from the front and cut across, as polylines in mm.

In all three the occlusal plane is z = 0 and z grows towards the ridge: the drawing of a maxillary rim puts z
upwards, that of a mandibular one downwards.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from labcases.prosthodontics.arch.halves import Array
from labcases.prosthodontics.outline.rim import RimOutline

Line = Array


@dataclass(frozen=True)
class SideView:
    """Seen from one side: first column y (forwards), second z. `outline` is closed."""

    side: str
    outline: Line
    occlusal: Line
    end_slope: Line


@dataclass(frozen=True)
class FrontView:
    """Seen from the front: first column x (to the patient's left), second z. `outline` is closed."""

    outline: Line
    occlusal: Line
    midline: Line
    canine_right: Line
    canine_left: Line


@dataclass(frozen=True)
class Section:
    """Cut across at one station: first column u (outwards from the middle of the occlusal surface), second z.

    `outline` is closed and starts at the labial edge of the occlusal surface; `crest` is where the ridge's
    crest lies; `inclination` is the angle of the labial face to the occlusal plane in degrees.
    """

    s: float
    outline: Line
    crest: tuple[float, float]
    inclination: float


def side_view(outline: RimOutline, side: str) -> SideView:
    """The rim's silhouette from "left" or "right"; the labial face at the midline is its front."""
    course, sign = (outline.left, 1.0) if side == "left" else (outline.right, -1.0)
    distance = np.sort(np.append(np.linspace(0.0, course.foot, 121), course.table_end))
    frames = outline.frames_at(np.sort(sign * distance))
    order = np.argsort(np.abs(frames.s))
    end = order[int(np.searchsorted(distance, course.table_end))]
    front, back = (float(frames.labial[order[0], 1]), 0.0), (float(frames.middle[end, 1]), 0.0)
    base = np.stack([frames.middle[order, 1], frames.height[order]], axis=1)
    base[0, 0] = frames.labial_foot[order[0], 1]
    ring = np.concatenate([[back, front], base, [back]])
    return SideView(side, ring, np.array([front, back]), np.array([back, base[-1]]))


def front_view(outline: RimOutline) -> FrontView:
    """The rim's labial and buccal face as far back as it can be seen from the front."""
    frames = outline.frames
    widest = slice(int(np.argmin(frames.labial[:, 0])), int(np.argmax(frames.labial[:, 0])) + 1)
    edge, foot = frames.labial[widest, 0], frames.labial_foot[widest, 0]
    base = np.stack([foot, frames.height[widest]], axis=1)
    occlusal = np.array([[edge[0], 0.0], [edge[-1], 0.0]])
    ring = np.concatenate([occlusal, base[::-1], occlusal[:1]])
    right, middle, left = _face_lines(outline)
    return FrontView(ring, occlusal, midline=middle, canine_right=right, canine_left=left)


def section(outline: RimOutline, s: float) -> Section:
    """The rim cut across at the arc length `s` on the crest (mm from the midline, signed)."""
    frames = outline.frames_at(np.array([s]))
    half, height, lean = float(frames.width[0]) / 2, float(frames.height[0]), float(frames.lean[0])
    ring = np.array([(half, 0.0), (half - height * lean, height), (-half, height), (-half, 0.0), (half, 0.0)])
    crest = float((frames.crest[0] - frames.middle[0]) @ frames.outward[0])
    return Section(s, ring, (crest, height), float(90 + np.degrees(np.arctan(lean))))


def on_paper(points: Array, arch: str) -> Array:
    """Points seen from above turned for paper, where y grows downwards.

    The patient's right is on the left of the paper for both arches; a maxillary rim has its front at the top,
    a mandibular one at the bottom, as on a tooth chart.
    """
    turned: Array = points * np.array([1.0, -1.0 if arch == "maxillary" else 1.0])
    return turned


def _face_lines(outline: RimOutline) -> tuple[Line, Line, Line]:
    """Straight up the face at the right canine line, the midline and the left canine line."""
    frames = outline.frames_at(np.array([-outline.right.canine, 0.0, outline.left.canine]))
    right, middle, left = (
        np.array([(frames.labial[i, 0], 0.0), (frames.labial_foot[i, 0], frames.height[i])]) for i in range(3)
    )
    return right, middle, left
