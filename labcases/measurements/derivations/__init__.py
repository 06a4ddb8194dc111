"""What follows from a case's figures together: shapes, checks, teeth, settings, materials.

Rows in, plain values out. Sheets and tickets show them; the arithmetic is the core's.
"""

from labcases.measurements.derivations.lines import Block, Derived, Ranked
from labcases.measurements.derivations.shapes import RimShape
from labcases.measurements.derivations.stages import Follows, what_follows
from labcases.measurements.derivations.strips import ToothStrip

__all__ = ["Block", "Derived", "Follows", "Ranked", "RimShape", "ToothStrip", "what_follows"]
