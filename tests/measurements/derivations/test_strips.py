"""Which teeth and which lip lines are drawn on a case's strip."""

from decimal import Decimal

import pytest

from labcases.measurements.derivations.strips import strip_of
from labcases.prosthodontics.standard import Schools
from labcases.prosthodontics.teeth import read_moulds
from tests.measurements.derivations.made import case, cast, lower, reading, upper

MOULDS = read_moulds(
    "mould,six_anterior_width,central_width,central_length\nPebble,44,8.2,9.5\nShell,47,8.8,10.6\n"
)
MARKS = [
    reading("canine_line_right", "23", arch="maxillary"),
    reading("canine_line_left", "23", arch="maxillary"),
]


def strip_for(*readings, moulds=MOULDS, schools=None, arch=upper):
    found = case(*readings, schools=schools)
    return strip_of(found, arch(found, marked=True), moulds)


def test_teeth_that_were_chosen_are_drawn():
    chosen = [
        reading("six_anterior_width", "45.2", arch="maxillary"),
        reading("central_incisor_width", "8.6", arch="maxillary"),
        reading("central_incisor_length", "10.1", arch="maxillary"),
    ]
    made = strip_for(*cast("maxillary"), *chosen)
    assert (made.six_width, made.central_width, made.central_length) == (
        Decimal("45.2"),
        Decimal("8.6"),
        Decimal("10.1"),
    )
    widths = [tooth.end - tooth.start for tooth in made.strip.teeth]
    assert sum(widths[1:-1]) == pytest.approx(45.2)  # eight teeth, six of them in front
    assert "as chosen" in made.notes[0]


def test_else_those_of_the_nearest_mould():
    made = strip_for(*cast("maxillary"), *MARKS)
    assert made.six_width == 47
    assert "Shell, the nearest mould" in made.notes[0]
    assert made.central_length == Decimal("10.6")


@pytest.mark.parametrize("schools", [Schools(), Schools(mould_width="chord")])
def test_else_average_crowns_as_wide_as_the_arc(schools):
    moulds = () if schools == Schools() else MOULDS
    made = strip_for(*cast("maxillary"), *MARKS, moulds=moulds, schools=schools)
    assert made.six_width == 46
    assert "average crowns" in made.notes[0]


def test_a_lower_strip_takes_no_upper_mould():
    made = strip_for(*cast("mandibular"), arch=lower)
    assert "average crowns" in made.notes[0]
    assert made.strip.teeth[0].number == 44
    assert made.resting_lip is None


def test_lower_teeth_are_drawn_by_the_upper_ones_that_are_known():
    """Upper six / 1.30 (ratios 1.29 to 1.31, seen in an abstract index): 46 mm above, 35.38 mm below."""
    made = strip_for(*cast("mandibular"), *MARKS, arch=lower)
    assert made.six_width == Decimal("35.38")
    assert "by the upper six" in made.notes[0]


def test_lip_lines_are_those_read_on_the_rim_in_the_mouth():
    read = [
        reading("rim_display_at_rest", "1.5", arch="maxillary"),
        reading("smile_line_height", "9", arch="maxillary"),
    ]
    made = strip_for(*cast("maxillary"), *read)
    assert (made.resting_lip, made.smiling_lip) == (Decimal("1.5"), Decimal(9))
    assert set(made.strip.lip_lines) == {"resting", "smiling"}


def test_else_they_follow_from_the_papilla():
    """Height 21 − sulcus 12.5 = 8.5 mm from papilla to edge: 1.0 mm below a lip at 7.5, 8.5 mm below one at 0."""
    lip = {"sulcus_to_papilla": "12.5", "papilla_to_resting_lip": "7.5", "papilla_to_smiling_lip": "0"}
    made = strip_for(*cast("maxillary"), *(reading(n, v, arch="maxillary") for n, v in lip.items()))
    assert (made.resting_lip, made.smiling_lip) == (Decimal(1), Decimal("8.5"))


def test_without_an_outline_there_is_no_strip():
    assert strip_for() is None


def test_teeth_wider_than_the_rim_say_so():
    wide = reading("six_anterior_width", "80", arch="maxillary")
    made = strip_for(*cast("maxillary"), wide)
    assert made.strip is None
    assert made.obstacle.startswith("No strip for these teeth.")
