"""The occlusion rim as a solid: outline from above, views, section, area, volume and wax."""

from labcases.prosthodontics.outline.canine_lines import with_canine_lines
from labcases.prosthodontics.outline.from_figures import (
    READ,
    cast_from_figures,
    crest_heights,
    missing_figures,
    plan_from_figures,
    stand_ins,
)
from labcases.prosthodontics.outline.plan import CrestHeights, ImpossibleRim, RimPlan, over_crest
from labcases.prosthodontics.outline.rim import RimOutline, Station, outline_rim
from labcases.prosthodontics.outline.views import front_view, on_paper, section, side_view
from labcases.prosthodontics.outline.volume import rim_volume
from labcases.prosthodontics.papilla import PapillaPoint, convert_offset, papilla_point

__all__ = [
    "READ",
    "CrestHeights",
    "ImpossibleRim",
    "PapillaPoint",
    "RimOutline",
    "RimPlan",
    "Station",
    "cast_from_figures",
    "convert_offset",
    "crest_heights",
    "front_view",
    "missing_figures",
    "on_paper",
    "outline_rim",
    "over_crest",
    "papilla_point",
    "plan_from_figures",
    "rim_volume",
    "section",
    "side_view",
    "stand_ins",
    "with_canine_lines",
]
