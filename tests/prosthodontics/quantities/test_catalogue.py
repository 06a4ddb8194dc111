"""The catalogue as data: every entry is complete, consistent, and findable by stage, side and arch."""

from decimal import Decimal

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.quantities import ARCHES, QUANTITIES, STAGES, quantities_for, quantity
from labcases.prosthodontics.specification.base import specify_record_base
from labcases.prosthodontics.specification.rims import specify_rims
from labcases.prosthodontics.specification.tray import specify_tray
from labcases.prosthodontics.standard import HOUSE_STANDARD, MATERIALS

EVERY = pytest.mark.parametrize("name", QUANTITIES)


@EVERY
def test_the_usual_range_lies_within_the_possible_one(name: str) -> None:
    kind = QUANTITIES[name]
    assert kind.cannot_be[0] <= kind.unusual[0] < kind.unusual[1] <= kind.cannot_be[1]


@EVERY
def test_an_entry_says_where_and_how_in_sentences(name: str) -> None:
    kind = QUANTITIES[name]
    assert kind.name == name
    for sentence in (kind.landmarks, kind.how):
        assert sentence[0].isupper()
        assert sentence.endswith(".")
    assert not kind.label.endswith(".")


@EVERY
def test_an_entry_belongs_to_known_stages_and_arches(name: str) -> None:
    kind = QUANTITIES[name]
    assert kind.stages
    assert set(kind.stages) <= set(STAGES)
    assert set(kind.arches) <= set(ARCHES)


@EVERY
def test_a_sign_is_read_where_the_possible_range_has_one(name: str) -> None:
    kind = QUANTITIES[name]
    assert kind.negative == (kind.cannot_be[0] < 0)


@EVERY
def test_the_reader_can_read_both_ends_of_the_possible_range(name: str) -> None:
    """At most three digits before the mark and two behind it."""
    for end in QUANTITIES[name].cannot_be:
        assert abs(end) < 1000
        assert round(end, 2) == end


def test_names_and_labels_are_unique_for_one_stage_and_arch() -> None:
    for stage in STAGES:
        for arch in ARCHES:
            labels = [kind.label for kind in quantities_for(stage=stage, arch=arch)]
            assert len(labels) == len(set(labels)), (stage, arch)


@pytest.mark.parametrize("stage", STAGES)
def test_something_is_measured_at_every_stage(stage: str) -> None:
    assert quantities_for(stage=stage)


def test_left_and_right_are_part_of_the_name_and_come_in_pairs() -> None:
    lefts = [name for name in QUANTITIES if name.endswith("_left")]
    assert lefts
    for name in lefts:
        left, right = QUANTITIES[name], QUANTITIES[name.removesuffix("left") + "right"]
        assert (left.unit, left.cannot_be, left.unusual, left.stages, left.arches) == (
            right.unit, right.cannot_be, right.unusual, right.stages, right.arches
        )  # fmt: skip


@pytest.mark.parametrize("arch", ARCHES)
def test_work_is_measured_by_the_name_that_it_is_specified_by(arch: str) -> None:
    nothing = {"figures": {}, "prescribed": {}, "standard": HOUSE_STANDARD}
    specifications = [
        specify_rims(arch, **nothing),
        specify_record_base(arch, **nothing),
        specify_tray(arch, impression_material="silicone", **nothing),
    ]
    for specification in specifications:
        taken = {
            kind.name: kind
            for kind in quantities_for(stage=specification.stage, taken_by="laboratory", arch=arch)
        }
        for line in specification.dimensions:
            if line.target is not None:
                assert taken[line.name].unit == line.unit
                assert taken[line.name].label == line.label


def test_a_mandibular_sheet_asks_for_the_pads_and_not_for_the_papilla() -> None:
    names = {kind.name for kind in quantities_for(stage="occlusion_rims", arch="mandibular")}
    assert "retromolar_pad_height_left" in names
    assert "sulcus_to_papilla" not in names


def test_the_clinic_is_asked_only_for_what_it_takes() -> None:
    asked = quantities_for(stage="jaw_relation", taken_by="clinic")
    assert {"vertical_dimension_rest", "vertical_dimension_occlusion"} <= {kind.name for kind in asked}
    assert all(kind.taken_by == "clinic" for kind in asked)


def test_the_order_of_entry_is_that_of_the_catalogue() -> None:
    order = list(QUANTITIES)
    asked = [order.index(kind.name) for kind in quantities_for(stage="occlusion_rims")]
    assert asked == sorted(asked)


def test_an_unknown_name_is_answered_with_the_names() -> None:
    with pytest.raises(InputError, match="sulcus_to_papilla"):
        quantity("papilla_to_sulcus")


def test_an_unknown_stage_is_not_an_empty_list() -> None:
    with pytest.raises(InputError, match="occlusion_rims"):
        quantities_for(stage="rims")


def test_both_limits_belong_to_the_range() -> None:
    kind = QUANTITIES["anterior_height"]
    assert kind.is_possible(kind.cannot_be[0])
    assert not kind.is_possible(kind.cannot_be[1] + Decimal("0.01"))
    assert not kind.is_unusual(kind.unusual[1])
    assert kind.is_unusual(kind.unusual[1] + Decimal("0.01"))
    assert not kind.is_possible(Decimal("NaN"))


def test_published_usual_ranges_follow_from_their_source() -> None:
    """Bonakdarchian and Ghorbanipour 2010, as cited (seen): interalar width 36.38 (SD 3.81); two SD each."""
    low, high = QUANTITIES["interalar_width"].unusual
    assert low == Decimal("36.38") - 2 * Decimal("3.81")
    assert high == Decimal("36.38") + 2 * Decimal("3.81")


def test_usual_distances_of_the_face_follow_from_their_source() -> None:
    """Isa and Abdulhadi 2012 (seen): 6.34 (SD 1.87) in worn dentures, 9.59 (SD 1.00) with teeth."""
    low, high = QUANTITIES["existing_papilla_to_face"].unusual
    assert low == Decimal("6.34") - 2 * Decimal("1.87")
    assert high == round(Decimal("9.59") + 2 * Decimal("1.00"), 1)


def test_every_impression_material_has_a_spacer() -> None:
    for material in MATERIALS:
        assert HOUSE_STANDARD.norm("custom_tray", "maxillary", f"spacer_thickness_{material}")


def test_the_denture_worn_is_measured_where_a_copy_of_it_begins() -> None:
    names = [kind.name for kind in quantities_for(stage="copy_impression", taken_by="clinic")]
    assert {"existing_papilla_to_edge", "existing_papilla_to_face", "vertical_dimension_rest"} <= set(names)
