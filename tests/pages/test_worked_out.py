"""What a clinic record works out: checked against worked examples, in words a clinician can check by hand."""

from decimal import Decimal

import pytest

from labcases.pages.worked_out import display_in_words, freeway_worked_out

USUAL = (Decimal(2), Decimal(4))
HEIGHT = {("maxillary", "anterior_height"): Decimal("22.4")}


def worked(rest, occlusion):
    values = ([Decimal(text) for text in texts.split()] for texts in (rest, occlusion))
    return freeway_worked_out(*values, usual=USUAL)


def test_rest_68_and_occlusion_66_5_leave_1_5_below_the_range_and_take_1_5_off_the_lower_rim():
    # Worked example, derived: 68.0 − 66.5 = 1.5; target 3.0, the middle of 2 to 4, so 1.5 less at the incisors.
    found = worked("68.0", "66.5")
    assert found.value == Decimal("1.5")
    assert found.standing == "below the configured range of 2.0 to 4.0 mm"
    assert not found.is_inside
    assert found.aim == 3
    steps = {step.region: step.words for step in found.steps}
    assert steps["incisor"] == "1.5 mm less"
    # A hinge at 88 and 50 mm (from memory): 1.5 × 50 / 88 = 0.85 mm.
    assert steps["molar"] == "0.9 mm less"


def test_each_step_is_as_uncertain_as_the_space_at_its_distance():
    # Single readings: u = 1.43 at the incisors, ± 2.8; × 50 / 88 at the molars.
    spreads = {step.region: step.spread for step in worked("68.0", "66.5").steps}
    assert (spreads["incisor"], spreads["molar"]) == (Decimal("2.8"), Decimal("1.6"))


def test_the_upper_rim_alone_is_a_further_way():
    [way] = worked("68.0", "66.5").others
    incisor = next(step for step in way.steps if step.region == "incisor")
    assert (incisor.upper, incisor.words) == ("1.5 mm less", "as it is")
    assert incisor.both == "upper 1.5 mm less"


def test_a_rim_that_shows_too_much_is_shortened_first_and_the_lower_one_takes_the_rest():
    # 1.5 mm less in all at the incisors; the upper rim shows 1.0 mm too much, so 0.5 mm are left for the lower one.
    values = [Decimal("68.0")], [Decimal("66.5")]
    both, _ = freeway_worked_out(*values, usual=USUAL, too_long=Decimal("1.0")).others
    incisor = next(step for step in both.steps if step.region == "incisor")
    assert (incisor.upper, incisor.words) == ("1.0 mm less", "0.5 mm less")
    assert "display" in both.title


def test_a_space_in_the_middle_leaves_no_further_way():
    assert worked("68", "65").others == ()


def test_a_space_above_the_range_adds_to_the_lower_rim():
    found = worked("70", "65")
    assert found.standing.startswith("above")
    assert {step.words[-4:] for step in found.steps} == {"more"}


def test_a_space_in_the_middle_of_the_range_changes_nothing():
    assert {step.words for step in worked("68", "65").steps} == {"as it is"}


def test_one_reading_of_each_cannot_tell_on_which_side_of_a_limit_the_space_lies():
    # Single readings between skin marks scatter by 1 mm (from memory): u = √(1.01² + 1.01²) = 1.43, ± 2.8 mm.
    one = worked("68", "65")
    assert one.space.doubtful
    assert one.spread == Decimal("2.8")
    three = worked("68.0 68.0 68.0", "65.0 65.0 65.0")
    assert not three.space.doubtful
    assert three.spread < 1


def test_the_formula_shows_this_patients_numbers():
    assert worked("68.0", "66.5").formula.startswith(
        "68.00 − 66.50 = 1.50 mm; u = √(1.01² + 1.01²) = 1.43 mm"
    )


def test_the_reason_says_how_many_readings_there_were():
    why = worked("68.0 68.5", "66.5").why
    assert "68.25 mm (2 readings)" in why
    assert "66.5 mm (one reading)" in why


@pytest.mark.parametrize(("rest", "occlusion"), [("", "66.5"), ("68", ""), ("", "")])
def test_without_both_there_is_nothing_to_work_out(rest, occlusion):
    assert worked(rest, occlusion) is None


def test_every_figure_used_names_its_source():
    found = worked("68", "65")
    assert all(source.words for source in (*found.sources, *found.step_sources))
    assert all(source.citation for _, _, source in found.evidence)


def test_a_rim_that_shows_more_than_was_wanted_says_by_how_much_and_what_height_that_is():
    words = display_in_words(Decimal(3), Decimal(1), HEIGHT)
    assert "2.0 mm longer" in words
    assert "22.4 − 2.0 = 20.4 mm" in words


def test_a_rim_that_shows_less_than_was_wanted_is_too_short():
    words = display_in_words(Decimal("-0.5"), Decimal(1), HEIGHT)
    assert "−0.5 mm at rest" in words
    assert "1.5 mm shorter" in words
    assert "22.4 + 1.5 = 23.9 mm" in words


def test_a_rim_that_shows_what_was_wanted_is_said_to():
    assert display_in_words(Decimal(1), Decimal("1.0"), {}) == "The rim shows 1.0 mm at rest, as was wanted."


def test_no_height_is_made_up_where_the_rim_was_not_measured():
    assert "left the laboratory" not in display_in_words(Decimal(3), Decimal(1), {})


@pytest.mark.parametrize(("shown", "wanted"), [(None, Decimal(1)), (Decimal(1), None)])
def test_without_both_figures_nothing_is_compared(shown, wanted):
    assert display_in_words(shown, wanted, HEIGHT) == ""
