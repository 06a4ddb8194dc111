"""Baseplate wax."""

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.materials.wax import (
    SHEET_SOURCE,
    SHEET_THICKNESS,
    WAX_DENSITY,
    WAX_DENSITY_SOURCE,
    WAX_EXPANSION_SOURCE,
    segment_volume,
    strip_length,
    warm_change,
    wax_mass,
)
from labcases.prosthodontics.provenance import Provenance

SEGMENTS = [(46, 5, 10), (40, 7, 9), (44, 9, 8)]


def test_three_segments_make_the_derived_volume_and_mass():
    """Derived: 2300 + 2520 + 3168 = 7988 mm³, 7.35 g at 0.92 g/cm³."""
    assert segment_volume(SEGMENTS) == 7988
    assert wax_mass(7988) == pytest.approx(7.35, abs=0.005)


def test_a_sheet_is_cut_to_the_length_that_holds_the_volume():
    """Derived: V / (w·t)."""
    assert strip_length(7988, width=7, thickness=1.4) == pytest.approx(815.1, abs=0.05)


def test_a_height_of_22_mm_may_change_by_the_derived_amount_in_the_warmth():
    """Derived from at most 0.8 % between 25 and 40 °C (recalled): 0.18 mm."""
    assert warm_change(22) == pytest.approx(0.18, abs=0.005)


def test_density_is_from_memory_thickness_common_practice_expansion_recalled():
    assert (WAX_DENSITY, WAX_DENSITY_SOURCE.provenance) == (0.92, Provenance.MEMORY)
    assert (SHEET_THICKNESS, SHEET_SOURCE.provenance) == (1.4, Provenance.COMMON)
    assert WAX_EXPANSION_SOURCE.provenance is Provenance.RECALLED


def test_impossible_figures_are_refused():
    with pytest.raises(InputError, match="density"):
        wax_mass(1000, density=9)
    with pytest.raises(InputError, match="width"):
        strip_length(1000, width=0)
