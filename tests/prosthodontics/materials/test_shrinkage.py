"""Shrinkage of the processed base."""

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.materials import expected_shrinkage
from labcases.prosthodontics.materials.shrinkage import (
    OBSERVED,
    OBSERVED_SOURCE,
    POLYMER_EXPANSION_SOURCE,
    net_factor,
    scale_factor,
    thermal_change,
)
from labcases.prosthodontics.provenance import Provenance


@pytest.mark.parametrize(("width", "least", "most"), [(50, 0.21, 0.29), (45, 0.19, 0.26)])
def test_a_tuberosity_width_loses_the_derived_range(width, least, most):
    """J Prosthet Dent 1999;81:300-304 (seen): 0.42 to 0.58 %; losses derived."""
    found = expected_shrinkage(width)
    assert found.least == pytest.approx(least, abs=0.005)
    assert found.most == pytest.approx(most, abs=0.005)
    assert width - most < found.expected < width - least + 0.005


def test_the_observed_range_is_stored_and_marked_as_seen():
    assert OBSERVED == (0.0042, 0.0058)
    assert OBSERVED_SOURCE.provenance is Provenance.SEEN
    assert POLYMER_EXPANSION_SOURCE.provenance is Provenance.RECALLED


def test_the_uncertainty_takes_the_range_as_rectangular():
    """JCGM 100:2008 (recalled): full width / √12."""
    assert expected_shrinkage(50).u == pytest.approx(50 * 0.0016 / 12**0.5)


def test_a_width_is_enlarged_beforehand_by_the_derived_factor():
    """Derived: k = 0.005 gives 1.005025."""
    assert scale_factor(0.005) == pytest.approx(1.005025, abs=5e-7)
    assert 50 * scale_factor(0.005) * (1 - 0.005) == pytest.approx(50)


def test_cooling_alone_takes_the_derived_amount():
    """Derived from 81e-6 per K (recalled): 0.446 % from 75 to 20 °C, 0.22 mm on 50 mm."""
    assert thermal_change(50, hot=75, cold=20) == pytest.approx(0.22, abs=0.005)
    assert thermal_change(100, hot=75, cold=20) == pytest.approx(0.446, abs=0.0006)


def test_stone_and_base_together():
    """Derived: (1 + 0.002)(1 − 0.005) = 0.99699."""
    assert net_factor(stone_expansion=0.002, shrinkage=0.005) == pytest.approx(0.99699, abs=1e-9)


@pytest.mark.parametrize(
    "call", [lambda: expected_shrinkage(0), lambda: expected_shrinkage(50, observed=(0.02, 0.01))]
)
def test_impossible_widths_and_ranges_are_refused(call):
    with pytest.raises(InputError):
        call()
