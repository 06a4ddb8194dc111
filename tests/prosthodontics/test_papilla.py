"""Distances from the papilla to the labial face."""

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.outline import PapillaPoint, convert_offset, papilla_point
from labcases.prosthodontics.papilla import LABIAL_FACE_MEANS, TABRIZ, TABRIZ_STEPS
from labcases.prosthodontics.provenance import Provenance

A, C, P = PapillaPoint.ANTERIOR_BORDER, PapillaPoint.CENTRE, PapillaPoint.POSTERIOR_BORDER


def test_the_published_means_and_spreads_are_kept_with_their_source():
    """Bohluli S and others, Tabriz (seen): 7.12 ± 0.75, 8.54 ± 0.83, 10.28 ± 1.00."""
    assert LABIAL_FACE_MEANS == {A: (7.12, 0.75), C: (8.54, 0.83), P: (10.28, 1.00)}
    assert TABRIZ.provenance is Provenance.SEEN
    assert TABRIZ_STEPS.provenance is Provenance.DERIVED


def test_a_distance_from_the_centre_is_restated_from_the_posterior_border():
    """Derived from the Tabriz means: 8.54 becomes 10.28, centre to posterior border + 1.74."""
    assert convert_offset(8.54, C, P) == pytest.approx(10.28)
    assert convert_offset(9.0, C, P) == pytest.approx(10.74)


def test_a_distance_from_the_anterior_border_is_restated_from_the_centre():
    """Derived from the Tabriz means: + 1.42."""
    assert convert_offset(6.0, A, C) == pytest.approx(7.42)


@pytest.mark.parametrize("start", PapillaPoint)
@pytest.mark.parametrize("end", PapillaPoint)
def test_there_and_back_is_the_same_distance(start, end):
    assert convert_offset(convert_offset(8.0, start, end), end, start) == pytest.approx(8.0)


def test_a_point_is_found_by_name_and_an_unknown_one_lists_the_three():
    assert papilla_point("centre") is C
    with pytest.raises(InputError, match="anterior_border, centre, posterior_border"):
        papilla_point("tip")


def test_every_point_has_words_for_paper():
    assert {point.words for point in PapillaPoint} == {
        "anterior border of the papilla",
        "centre of the papilla",
        "posterior border of the papilla",
    }
