"""Teeth for this case. Mould lists are invented."""

import pytest

from labcases.measurements.derivations.front_teeth import chord_of, front_arc, teeth_block, wish_for
from labcases.prosthodontics.standard import Schools
from labcases.prosthodontics.teeth import read_moulds
from tests.measurements.derivations.made import by_label, case, cast, lower, reading, upper

MOULDS = read_moulds(
    "mould,six_anterior_width,central_width,central_length,posterior_sum\n"
    "Pebble,44,8.2,9.5,30\nShell,46.5,8.6,10.4,31\nCobble,50,9.4,10.9,33\nReed,46,8.5,11,36\n"
)


def marked(right="23", left="23.5", u="0.3"):
    return [
        reading("canine_line_right", right, arch="maxillary", u=u),
        reading("canine_line_left", left, arch="maxillary", u=u),
    ]


def names(block):
    return [each.name for each in block.ranked]


def test_the_arc_is_the_one_that_was_marked():
    found = case(*marked())
    arc = front_arc(found, upper(found))
    assert arc.value == 46.5
    assert arc.u == pytest.approx(0.3 * 2**0.5)


def test_without_marks_it_runs_over_the_canine_eminences_of_this_rim():
    found = case(*cast("maxillary"))
    shape = upper(found)
    assert front_arc(found, shape).value == shape.outline.arc_between_canine_lines
    assert front_arc(case(), upper(case())) is None


def test_lines_over_the_tips_leave_half_a_canine_on_either_side():
    """45.0 mm of average crowns hold 7.5 mm of canine (Wheeler; recalled): 37.5 mm from tip to tip."""
    found = case(*marked("18.5", "19"), schools=Schools(canine_line="tip"))
    assert front_arc(found, upper(found)).value == pytest.approx(37.5 * 45 / 37.5)


def test_a_list_that_means_the_straight_width_is_asked_for_it():
    """A 46 mm arc on the published curve, W = 60 and D = 45, has a 35.513 mm chord (derived)."""
    found = case(*cast("maxillary"), *marked(), schools=Schools(mould_width="chord"))
    shape = upper(found)
    wish = wish_for(found, shape, front_arc(found, shape))
    tips = 46.5 * 37.5 / 45
    assert wish.six_anterior_width == pytest.approx(chord_of(shape.outline, tips))
    assert wish.six_anterior_width < tips


def test_the_nearest_moulds_come_first_with_why():
    found = case(*cast("maxillary"), *marked())
    block = teeth_block(found, upper(found), MOULDS)
    assert names(block)[:2] == ["Shell", "Reed"]
    assert "−0.50 mm against the wish" in block.ranked[1].why
    assert dict(block.given)["six_anterior_width"] == "46.5"


def test_a_mould_too_long_behind_comes_last():
    pads = [
        reading(f"canine_to_pad_{side}", value, arch="mandibular")
        for side, value in (("left", "35"), ("right", "34"))
    ]
    found = case(*cast("maxillary"), *marked(), *pads)
    assert names(teeth_block(found, upper(found), MOULDS))[-1] == "Reed"


def test_every_rule_whose_figure_was_taken_is_shown_with_its_evidence():
    found = case(reading("bizygomatic_width", "135"), reading("inner_canthal_distance", "28"))
    block = teeth_block(found, upper(found), MOULDS)
    assert by_label(block, "Six front teeth, face width").figure == "40.9"
    assert by_label(block, "Central width, face width").figure == "8.4"
    assert "not confirmed in 149 people" in by_label(block, "Central width, face width").why


def test_lower_teeth_follow_the_upper_ones():
    """Upper six / 1.30: ratios 1.29 to 1.31 (seen in an abstract index); 45.5 mm gives 35.0 mm."""
    chosen = reading("six_anterior_width", "45.5", arch="maxillary")
    found = case(*cast("mandibular"), chosen)
    block = teeth_block(found, lower(found), MOULDS)
    assert by_label(block, "Six lower").figure == "35.0"
    assert block.ranked == ()


def test_without_a_list_the_page_says_where_one_comes_from():
    found = case(*marked())
    assert "no mould list" in teeth_block(found, upper(found), ()).remarks[0]


def test_the_laboratorys_own_numbering_stands_first():
    found = case(*marked(), schools=Schools(tooth_numbering="universal"))
    [numbers] = [r for r in teeth_block(found, upper(found), MOULDS).remarks if "Universal" in r]
    assert numbers.index("Universal 6 7 8 9 10 11") < numbers.index("ISO 3950 13 12 11 21 22 23")
