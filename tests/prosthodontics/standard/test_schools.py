from dataclasses import fields
from decimal import Decimal
from fractions import Fraction

import pytest

from labcases.prosthodontics.conformity import Rule
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.materials import CURING_CYCLES
from labcases.prosthodontics.standard import SCHOOL_CHOICES, Schools

NAMES = [choice.name for choice in SCHOOL_CHOICES]


def test_every_question_has_an_answer_and_every_answer_a_question() -> None:
    assert sorted(NAMES) == sorted(field.name for field in fields(Schools))
    assert len(NAMES) == len(set(NAMES))


@pytest.mark.parametrize("choice", SCHOOL_CHOICES, ids=NAMES)
def test_a_question_offers_at_least_two_different_answers_and_says_why(choice) -> None:
    keys = [key for key, _ in choice.options]
    assert len(keys) == len(set(keys)) >= 2
    assert choice.why.endswith(".")


@pytest.mark.parametrize("choice", SCHOOL_CHOICES, ids=NAMES)
def test_every_offered_answer_can_be_chosen_and_is_printed_as_one_sentence(choice) -> None:
    for key, words in choice.options:
        sentence = Schools(**{choice.name: key}).sentence(choice.name)
        assert sentence.startswith(choice.label)
        assert words.rstrip(".") in sentence
        assert sentence.endswith(".")
        assert not sentence.endswith("..")


@pytest.mark.parametrize("name", NAMES)
def test_an_answer_that_is_not_offered_is_refused(name: str) -> None:
    with pytest.raises(InputError, match=f"^{name}: "):
        Schools(**{name: "otherwise"})


@pytest.mark.parametrize(
    ("key", "fraction"),
    [("one_third", Fraction(1, 3)), ("half", Fraction(1, 2)), ("two_thirds", Fraction(2, 3))],
)
def test_the_level_on_the_pad_is_an_exact_share(key: str, fraction: Fraction) -> None:
    assert Schools(pad_level=key).pad_fraction == fraction


def test_ranges_and_figures_are_numbers_where_they_are_used() -> None:
    schools = Schools()
    assert schools.freeway_range == (Decimal(2), Decimal(4))
    assert schools.display_limits == (Decimal(0), Decimal(3))
    assert schools.single_reading_repeatability == Decimal("0.20")
    assert schools.rule is Rule.SIMPLE


def test_settings_of_the_articulator_are_numbers() -> None:
    """The formula L = H/8 + 12 is Hanau's (1930, as quoted in several abstracts, seen)."""
    assert Schools().lateral_condylar(33.0) == 16.125
    assert Schools(lateral_setting="10").lateral_condylar(33.0) == 10
    assert Schools(condylar_average="42").horizontal_condylar == 42
    assert Schools(condylar_triangle="103.3").triangle == (103.3, 99.6)
    assert Schools(balkwill_angle="18").balkwill == 18
    assert Schools(protrusive_record="5").protrusion == 5


def test_ratios_and_cycles_are_those_of_the_materials() -> None:
    assert Schools().stone_ratio == pytest.approx(0.275)
    assert Schools(gypsum_ratio="0.30").stone_ratio == 0.30
    assert Schools(curing_cycle="short").cycle is CURING_CYCLES["short"]
    assert Schools(retention="15").retention_years == 15
    assert Schools(arch_correction="raw").corrects_arch is False
