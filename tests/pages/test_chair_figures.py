"""The groups of a clinic record: every figure of a stage has its box, once."""

from decimal import Decimal

import pytest

from labcases.cases.choices import CLINIC_STAGES
from labcases.measurements.queries import Box
from labcases.pages.chair_figures import (
    RECORD_GROUPS,
    entry_of,
    fields_of,
    groups_at,
    names_of,
    standing_values,
)
from labcases.prosthodontics.quantities import quantities_for, quantity
from labcases.prosthodontics.standard import Schools
from tests.factories.measurements import ReadingFactory


def boxes_at(stage):
    return [box(kind.name) for kind in quantities_for(stage=stage, taken_by="clinic")]


def box(name, standing=None):
    kind = quantity(name)
    arch = kind.arches[0] if kind.arches else ""
    return Box(quantity=kind, arch=arch, line=None, standing=standing, corrected=(), before=None)


@pytest.mark.parametrize("stage", sorted(CLINIC_STAGES))
def test_every_figure_of_a_clinic_stage_is_asked_for_once(stage):
    asked = [
        each.quantity.name for group in groups_at(stage, boxes_at(stage), Schools()) for each in group.boxes
    ]
    assert sorted(asked) == sorted(kind.name for kind in quantities_for(stage=stage, taken_by="clinic"))


@pytest.mark.parametrize("stage", sorted(CLINIC_STAGES))
def test_what_is_read_with_one_instrument_has_one_unit(stage):
    for group in groups_at(stage, boxes_at(stage), Schools()):
        assert len({each.quantity.unit for each in group.boxes}) == 1


def test_something_stands_open_at_every_clinic_stage_of_a_delivered_path():
    for stage in CLINIC_STAGES:
        assert any(not group.group.folded for group in groups_at(stage, boxes_at(stage), Schools())), stage


def test_no_figure_belongs_to_two_groups():
    names = [name for group in RECORD_GROUPS for name in group.names]
    assert len(names) == len(set(names))


def test_a_figure_that_no_group_names_still_has_a_box():
    groups = groups_at("try_in", [box("anterior_height")], Schools())
    assert [each.quantity.name for group in groups for each in group.boxes] == ["anterior_height"]


def test_which_way_a_sign_counts_stands_beside_the_box():
    group = next(
        each for each in groups_at("try_in", boxes_at("try_in"), Schools()) if each.group.key == "mouth"
    )
    assert "patient's left" in fields_of(group)["figure_midline_deviation"].help_text


@pytest.mark.django_db
def test_only_what_differs_from_what_stands_is_an_entry():
    standing = ReadingFactory.build(
        quantity="vertical_dimension_rest", arch="", repeats=["68.0", "68.5"], value=Decimal("68.25")
    )
    here = box("vertical_dimension_rest", standing)
    [group] = groups_at("jaw_relation", [here], Schools())
    first, second, third = names_of(here)
    same = {first: Decimal("68"), second: Decimal("68.5"), third: None}
    assert standing_values(here) == (Decimal("68.0"), Decimal("68.5"))
    assert entry_of(here, group, same) is None
    more = same | {third: Decimal("68.1")}
    assert entry_of(here, group, more).values == (Decimal("68"), Decimal("68.5"), Decimal("68.1"))
    assert entry_of(here, group, {}) is None


def test_where_schools_differ_the_boxes_say_which_one_is_followed():
    schools = Schools(tragus_point="inferior", canine_line="tip", protrusive_record="5")
    hints = {
        each.group.key: each.group.hint
        for each in groups_at("jaw_relation", boxes_at("jaw_relation"), schools)
    }
    assert "inferior border" in hints["plane"]
    assert "the tip of the canine" in hints["marks"]
    assert "5 mm" in hints["protrusion"]
