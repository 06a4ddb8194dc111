"""From the readings of a case to the plan of its rim."""

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.outline import (
    READ,
    ImpossibleRim,
    cast_from_figures,
    crest_heights,
    missing_figures,
    outline_rim,
    plan_from_figures,
    stand_ins,
)
from labcases.prosthodontics.outline.from_figures import OPTIONAL_TARGETS
from labcases.prosthodontics.quantities import QUANTITIES

FIGURES = {"hamular_notch_width": 50, "arch_depth": 46, "canine_eminence_width": 32}
TARGETS = {"anterior_width": 8, "posterior_width": 10, "labial_offset": 8, "anterior_height": 22}


def test_every_name_that_is_read_stands_in_the_catalogue():
    assert {*READ, *OPTIONAL_TARGETS} <= set(QUANTITIES)


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


def test_a_side_that_was_measured_by_itself_leaves_the_rest_to_the_other():
    cast = cast_from_figures("maxillary", FIGURES | {"posterior_half_width_left": 27})
    assert (cast.left.half_width, cast.right.half_width) == (27, 23)
    assert (cast.left.canine_half_width, cast.right.canine_half_width) == (16, 16)
    both = FIGURES | {"canine_half_width_left": 15, "canine_half_width_right": 18}
    cast = cast_from_figures("maxillary", both)
    assert (cast.left.canine_half_width, cast.right.canine_half_width) == (15, 18)


def test_a_one_sided_cast_makes_a_one_sided_rim():
    figures = FIGURES | {"posterior_half_width_left": 27, "canine_half_width_right": 15}
    outline = outline_rim(plan_from_figures("maxillary", figures=figures, targets=TARGETS))
    assert outline.plan.crest.half_width("right") == 23
    assert (outline.plan.canine_left, outline.plan.canine_right) == (17, 15)
    assert abs(outline.left.foot - outline.right.foot) > 1


def test_the_curve_passes_the_canine_points_where_their_depth_was_read():
    plan = plan_from_figures("maxillary", figures=FIGURES | {"canine_eminence_depth": 9}, targets=TARGETS)
    assert plan.crest.y(0) - plan.crest.y(16) == pytest.approx(9, abs=1e-6)


def test_wax_over_the_crest_is_the_height_less_the_depth_of_the_sulcus():
    depths = {"sulcus_to_crest": 12.5, "posterior_sulcus_to_crest_left": 11}
    targets = {"anterior_height": 22, "posterior_height_left": 18, "posterior_height_right": 18}
    heights = crest_heights("maxillary", depths, targets)
    assert (heights.anterior, heights.posterior_left, heights.posterior_right) == (9.5, 7, 8)


def test_behind_a_lower_rim_starts_at_the_foot_of_the_pad():
    targets = {"posterior_height_left": 6, "posterior_height_right": 7}
    heights = crest_heights("mandibular", {}, targets)
    assert (heights.anterior, heights.posterior_left, heights.posterior_right) == (10, 6, 7)


def test_a_sulcus_deeper_than_the_rim_is_high_leaves_no_wax():
    with pytest.raises(ImpossibleRim, match="sulcus_to_crest"):
        crest_heights("maxillary", {"sulcus_to_crest": 23}, {"anterior_height": 22})


def test_what_is_taken_for_a_missing_reading_is_said():
    names = [name for name, _ in stand_ins("maxillary", FIGURES, TARGETS)]
    assert names == [
        "papilla_behind_crest",
        "sulcus_to_crest",
        "posterior_sulcus_to_crest_left",
        "posterior_sulcus_to_crest_right",
    ]
    assert stand_ins("mandibular", {"sulcus_to_crest": 9}, TARGETS) == ()
    plan = plan_from_figures("maxillary", figures=FIGURES, targets=TARGETS)
    assert plan.papilla_behind_crest == 2.0
    read = plan_from_figures("maxillary", figures=FIGURES | {"papilla_behind_crest": 3.5}, targets=TARGETS)
    assert read.papilla_behind_crest == 3.5
