"""The labial face of the rim laid flat, and the front teeth drawn on it."""

from labcases.prosthodontics.strip.strip import Strip, StripTooth, tooth_strip
from labcases.prosthodontics.strip.toothforms import tooth_outline
from labcases.prosthodontics.strip.unrolling import Unrolled, unroll

__all__ = ["Strip", "StripTooth", "Unrolled", "tooth_outline", "tooth_strip", "unroll"]
