"""From the readings of a case to the plan of its rim."""

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.outline import cast_from_figures, missing_figures, outline_rim, plan_from_figures
from labcases.prosthodontics.outline.from_figures import CANINES, DEPTHS, OPTIONAL_TARGETS, WIDTHS
from labcases.prosthodontics.quantities import QUANTITIES

FIGURES = {"hamular_notch_width": 50, "arch_depth": 46, "canine_eminence_width": 32}
TARGETS = {"anterior_width": 8, "posterior_width": 10, "labial_offset": 8, "anterior_height": 22}


def test_every_name_that_is_read_stands_in_the_catalogue():
    names = {*WIDTHS["maxillary"], *WIDTHS["mandibular"], *DEPTHS, *CANINES, *OPTIONAL_TARGETS}
    assert names <= set(QUANTITIES)


def test_readings_and_targets_make_a_rim():
    outline = outline_rim(plan_from_figures("maxillary", figures=FIGURES, targets=TARGETS))
    assert outline.plan.crest.half_width("left") == 25
    assert outline.plan.labial_offset == 8


def test_the_tuberosity_width_stands_in_for_the_notches():
    figures = {"tuberosity_width": 52, "arch_depth": 46, "canine_eminence_width": 32}
    assert cast_from_figures("maxillary", figures).left.half_width == 26
    assert cast_from_figures("maxillary", FIGURES | {"tuberosity_width": 52}).left.half_width == 25


def test_what_is_still_missing_is_named():
    assert missing_figures("mandibular", {"arch_depth": 44}) == ("pad_to_pad_width", "canine_eminence_width")
    assert missing_figures("maxillary", FIGURES) == ()
    with pytest.raises(InputError) as refusal:
        cast_from_figures("mandibular", FIGURES)
    assert refusal.value.field == "pad_to_pad_width"


def test_a_specification_without_a_width_is_refused_by_name():
    with pytest.raises(InputError) as refusal:
        plan_from_figures("maxillary", figures=FIGURES, targets={"anterior_width": 8})
    assert refusal.value.field == "posterior_width"


def test_an_unknown_arch_is_refused():
    with pytest.raises(InputError, match="maxillary or mandibular"):
        missing_figures("upper", FIGURES)
