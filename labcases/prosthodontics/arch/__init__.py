"""Arch forms: the plane curve that the crest of a ridge, or a row of teeth, follows seen from above."""

from labcases.prosthodontics.arch.cast import CastMeasurements, SideMeasurements, arch_from_cast
from labcases.prosthodontics.arch.form import ArchForm, TwoSidedArch
from labcases.prosthodontics.arch.models import MODELS, beta, catenary, ellipse, parabola, sixth_order

__all__ = [
    "MODELS",
    "ArchForm",
    "CastMeasurements",
    "SideMeasurements",
    "TwoSidedArch",
    "arch_from_cast",
    "beta",
    "catenary",
    "ellipse",
    "parabola",
    "sixth_order",
]
