from dataclasses import replace
from decimal import Decimal

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.specification.lines import Basis, Dimension, Specification, differences

HEIGHT = Dimension(
    name="anterior_height",
    label="Anterior height",
    arch="maxillary",
    target=Decimal(22),
    lower=Decimal(21),
    upper=Decimal(23),
    unit="mm",
    basis=Basis.STANDARD,
    source="lab standard",
    why="average",
)
VENT = replace(
    HEIGHT, name="vent", label="Vent", target=None, lower=None, upper=None, unit="", wording="No vent."
)


def specification(*lines: Dimension) -> Specification:
    return Specification(stage="occlusion_rims", arch="maxillary", dimensions=lines)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({}, "22.0 mm (21.0 to 23.0)"),
        ({"lower": None}, "22.0 mm (at most 23.0)"),
        ({"upper": None}, "22.0 mm (at least 21.0)"),
        ({"lower": None, "upper": None}, "22.0 mm"),
        ({"unit": "deg"}, "22.0° (21.0 to 23.0)"),
        ({"unit": "count"}, "22 (21 to 23)"),
    ],
)
def test_a_line_is_printed_with_unit_and_limits(changes: dict[str, object], words: str) -> None:
    assert replace(HEIGHT, **changes).words == words


def test_a_line_without_a_number_prints_its_wording() -> None:
    assert VENT.words == "No vent."


def test_a_line_is_found_by_its_name() -> None:
    assert specification(HEIGHT, VENT).dimension("vent") is VENT
    with pytest.raises(InputError, match="anterior_height"):
        specification(HEIGHT).dimension("posterior_height")


def test_the_same_specification_has_no_differences() -> None:
    assert differences(specification(HEIGHT, VENT), specification(HEIGHT, VENT)) == ()


def test_a_new_figure_says_what_it_was_and_why_it_changed() -> None:
    new = replace(HEIGHT, target=Decimal(21), lower=Decimal(20), upper=Decimal(22), basis=Basis.COMPUTED)
    (change,) = differences(specification(HEIGHT), specification(new))
    assert (change.name, change.before, change.after) == ("anterior_height", HEIGHT, new)
    assert change.words == (
        "Anterior height: 22.0 mm (21.0 to 23.0) becomes 21.0 mm (20.0 to 22.0); "
        "lab standard becomes computed"
    )


def test_the_same_figure_for_another_reason_is_a_difference_too() -> None:
    (change,) = differences(specification(HEIGHT), specification(replace(HEIGHT, why="another school")))
    assert change.words == "Anterior height: same figure, other reason"


def test_added_and_removed_lines_are_named() -> None:
    added, removed = differences(specification(HEIGHT), specification(VENT))
    assert (added.before, added.after, added.words) == (None, VENT, "Vent: new, No vent.")
    assert (removed.before, removed.after) == (HEIGHT, None)
    assert removed.words == "Anterior height: no longer specified"


def test_a_changed_tolerance_is_a_difference() -> None:
    (change,) = differences(specification(HEIGHT), specification(replace(HEIGHT, upper=Decimal(24))))
    assert "(21.0 to 24.0)" in change.words
