"""Outlines of the front teeth, drawn as simple curves of our own from a width and a length.

They show size and place, not a mould. u runs across the tooth from its middle, positive towards the distal
side; v runs from the incisal edge (0) to the neck (length). Both in mm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from labcases.prosthodontics.arch.halves import Array

SAMPLES = 24


@dataclass(frozen=True)
class Form:
    """Proportions of an outline: parts of half the width, and of the length.

    corner: half width at the incisal edge. contact: level of the contact points. taper: how much narrower
    the tooth is towards the neck. cusp: how far the corners stand above the tip. tip: the tip's place off
    the middle, positive towards the distal side.
    """

    corner: float
    contact: float
    taper: float
    cusp: float = 0.0
    tip: float = 0.0


INCISOR = Form(corner=0.90, contact=0.16, taper=0.20)
LATERAL = Form(corner=0.82, contact=0.22, taper=0.24)
CANINE = Form(corner=0.86, contact=0.30, taper=0.28, cusp=0.14, tip=-0.08)
PREMOLAR = Form(corner=0.82, contact=0.30, taper=0.24, cusp=0.15, tip=-0.04)

# From the midline outwards: central, lateral, canine, first and second premolar.
FORMS = (INCISOR, LATERAL, CANINE, PREMOLAR, PREMOLAR)


def tooth_outline(form: Form, *, width: float, length: float) -> Array:
    """A closed outline, n × 2 (u, v), exactly `width` wide and `length` long."""
    distal = _side(form)
    mesial = distal * np.array([-1.0, 1.0])
    ring = np.concatenate([_edge(form), distal, mesial[-2::-1]])
    ring = np.concatenate([ring, ring[:1]])
    sized: Array = ring * np.array([width / 2, length])
    return sized


def _edge(form: Form) -> Array:
    """The incisal edge from the mesial to the distal corner, corners left out."""
    if form.cusp == 0:
        return np.empty((0, 2))
    u = np.sort(np.append(np.linspace(-form.corner, form.corner, SAMPLES + 1)[1:-1], form.tip))
    reach = np.where(u < form.tip, form.corner + form.tip, form.corner - form.tip)
    return np.stack([u, form.cusp * (np.abs(u - form.tip) / reach) ** 1.4], axis=1)


def _side(form: Form) -> Array:
    """The distal side from the incisal corner over the contact point to the top of the neck."""
    low = np.linspace(form.cusp, form.contact, SAMPLES // 2)
    part = (low - form.cusp) / (form.contact - form.cusp)
    bulge = form.corner + (1 - form.corner) * (1 - (1 - part) ** 2.5)
    # Samples crowd towards the neck, where the outline turns across the tooth.
    climb = np.sin(np.linspace(0.0, np.pi / 2, 2 * SAMPLES))[1:]
    waist = (1 - form.taper * climb**1.5) * np.sqrt(np.maximum(1 - climb**5, 0.0))
    rise = form.contact + (1 - form.contact) * climb
    return np.concatenate([np.stack([bulge, low], axis=1), np.stack([waist, rise], axis=1)])
