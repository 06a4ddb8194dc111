"""Drawings of the work with its dimensions: plain facts in, a layout of lines, paths and words in millimetres out."""

from labcases.tickets.drawing.compose import draw_work
from labcases.tickets.drawing.facts import DimensionFacts, DrawingFacts
from labcases.tickets.drawing.marks import Box, Drawing, Group, Stroke, View, Words

__all__ = [
    "Box",
    "DimensionFacts",
    "Drawing",
    "DrawingFacts",
    "Group",
    "Stroke",
    "View",
    "Words",
    "draw_work",
]
