"""Powder and water for a cast."""

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.materials import GYPSUM, gypsum_batch
from labcases.prosthodontics.materials.gypsum import (
    DENSITY_SOURCE,
    ISO_SOURCE,
    POWDER_DENSITY,
    RATIO_SOURCE,
    THEORETICAL_WATER,
)
from labcases.prosthodontics.provenance import Provenance


@pytest.mark.parametrize(
    ("ratio", "powder", "water"), [(0.50, 69.5, 34.7), (0.30, 90.4, 27.1), (0.23, 101.1, 23.2)]
)
def test_powder_and_water_for_60_cubic_centimetres(ratio, powder, water):
    """Derived, powder density 2.75 g/cm³."""
    batch = gypsum_batch(60, ratio=ratio, density=2.75)
    assert batch.powder == pytest.approx(powder, abs=0.05)
    assert batch.water == pytest.approx(water, abs=0.05)
    assert batch.volume == pytest.approx(60)


def test_the_reaction_binds_the_derived_part_of_the_water():
    """Derived: 1.5 × 18.0153 / 145.149 = 18.617 g per 100 g of hemihydrate."""
    bound = 100 * THEORETICAL_WATER
    assert bound == pytest.approx(18.617, abs=0.0005)


@pytest.mark.parametrize(("ratio", "excess"), [(0.50, 31.4), (0.30, 11.4), (0.23, 4.4)])
def test_the_rest_of_the_water_is_excess(ratio, excess):
    """Derived."""
    assert gypsum_batch(60, ratio=ratio).excess_water == pytest.approx(excess, abs=0.05)


def test_ratios_and_expansions_are_stored_and_marked():
    """Water to powder: textbook chapter (seen) for types 2, 3 and 4; the rest ISO 6873 (recalled)."""
    assert GYPSUM[2].ratio == (0.40, 0.50)
    assert GYPSUM[3].ratio == (0.25, 0.30)
    assert GYPSUM[4].ratio == (0.19, 0.24)
    assert GYPSUM[5].expansion == (0.16, 0.30)
    assert {kind: each.ratio_source.provenance for kind, each in GYPSUM.items()} == {
        1: Provenance.RECALLED,
        2: Provenance.SEEN,
        3: Provenance.SEEN,
        4: Provenance.SEEN,
        5: Provenance.RECALLED,
    }
    assert RATIO_SOURCE.provenance is Provenance.SEEN
    assert ISO_SOURCE.provenance is Provenance.RECALLED


def test_the_powders_density_is_marked_as_from_memory():
    assert POWDER_DENSITY == 2.75
    assert DENSITY_SOURCE.provenance is Provenance.MEMORY


def test_waste_is_added_to_the_volume():
    assert gypsum_batch(60, ratio=0.3, waste=0.1).powder == pytest.approx(gypsum_batch(66, ratio=0.3).powder)


def test_powder_in_units_is_rounded_up_and_the_water_follows():
    batch = gypsum_batch(60, ratio=0.3, unit=50)
    assert batch.powder == 100
    assert batch.water == pytest.approx(30)
    assert batch.volume > 60
    assert gypsum_batch(60, ratio=0.3, unit=batch.powder / 2).powder == pytest.approx(100)


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"volume": 0}, "volume"),
        ({"ratio": 0.15}, "ratio"),
        ({"density": 27.5}, "density"),
        ({"waste": -0.1}, "waste"),
        ({"unit": 0}, "unit"),
        ({"volume": float("nan")}, "volume"),
    ],
)
def test_impossible_batches_are_refused_by_name(changes, named):
    with pytest.raises(InputError) as refusal:
        gypsum_batch(**{"volume": 60, "ratio": 0.3} | changes)
    assert refusal.value.field == named
