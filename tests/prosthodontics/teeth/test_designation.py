"""Tooth numbers."""

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.teeth import (
    ALL_TEETH,
    DENTURE_TEETH,
    arch_of,
    from_universal,
    mirror,
    to_universal,
    tooth_words,
)


@pytest.mark.parametrize(
    ("iso", "universal"), [(11, 8), (18, 1), (21, 9), (28, 16), (31, 24), (38, 17), (41, 25), (48, 32)]
)
def test_the_corners_of_both_numberings_meet(iso, universal):
    """ISO 3950 (recalled); the conversion derived."""
    assert to_universal(iso) == universal
    assert from_universal(universal) == iso


def test_the_two_numberings_are_one_to_one():
    assert sorted(to_universal(tooth) for tooth in ALL_TEETH) == list(range(1, 33))
    assert [from_universal(to_universal(tooth)) for tooth in ALL_TEETH] == list(ALL_TEETH)


def test_a_complete_denture_has_28_teeth_without_third_molars():
    assert len(DENTURE_TEETH) == 28
    assert not {18, 28, 38, 48} & set(DENTURE_TEETH)


@pytest.mark.parametrize(("tooth", "other"), [(11, 21), (23, 13), (36, 46), (44, 34)])
def test_the_mirror_tooth_lies_in_the_other_quadrant_of_the_same_arch(tooth, other):
    assert mirror(tooth) == other
    assert arch_of(tooth) == arch_of(other)


def test_both_numbers_are_printed_with_the_name():
    assert tooth_words(11) == "11 (Universal 8), upper right central incisor"
    assert tooth_words(36) == "36 (Universal 19), lower left first molar"


@pytest.mark.parametrize("number", [0, 10, 19, 29, 49, 51, -11])
def test_numbers_of_no_tooth_are_refused(number):
    with pytest.raises(InputError, match="ISO 3950"):
        to_universal(number)


@pytest.mark.parametrize("number", [0, 33, True])
def test_universal_numbers_end_at_32(number):
    with pytest.raises(InputError, match="1 to 32"):
        from_universal(number)
