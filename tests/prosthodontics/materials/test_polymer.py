"""Polymer, monomer and what the dough loses."""

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.materials import polymer_batch
from labcases.prosthodontics.materials.polymer import (
    DENSITY_SOURCE,
    RATIO_SOURCE,
    USUAL_RATIO,
    dough_shrinkage,
    linear_equivalent,
    monomer_shrinkage,
)
from labcases.prosthodontics.provenance import Provenance


def test_polymer_and_monomer_for_27_cubic_centimetres():
    """Derived: 2.0 g/mL, 20.14 g and 10.07 mL."""
    batch = polymer_batch(27, ratio=2.0)
    assert batch.polymer == pytest.approx(20.14, abs=0.005)
    assert batch.monomer == pytest.approx(10.07, abs=0.005)


def test_powder_and_liquid_together_fill_the_volume_asked_for():
    batch = polymer_batch(27, ratio=2.22)
    assert batch.polymer / 1.19 + batch.monomer == pytest.approx(27)


def test_monomer_alone_loses_a_fifth():
    """Derived: 1 − 0.945/1.19 = 20.6 %."""
    assert 100 * monomer_shrinkage() == pytest.approx(20.6, abs=0.05)


@pytest.mark.parametrize(("ratio", "loss"), [(2.0, 7.68), (2.22, 7.18), (1.80, 8.19)])
def test_the_dough_loses_the_derived_part(ratio, loss):
    """Derived, for the ratios of Nisar S and others 2015 (seen)."""
    assert 100 * dough_shrinkage(ratio) == pytest.approx(loss, abs=0.005)


def test_the_same_loss_as_a_length():
    """Derived: 2.63 % at 2.0 g/mL."""
    assert 100 * linear_equivalent(dough_shrinkage(2.0)) == pytest.approx(2.63, abs=0.005)


def test_densities_are_marked_recalled_and_ratios_seen():
    assert DENSITY_SOURCE.provenance is Provenance.RECALLED
    assert RATIO_SOURCE.provenance is Provenance.SEEN
    assert USUAL_RATIO == 2.0


def test_waste_is_added():
    assert polymer_batch(20, waste=0.25).polymer == pytest.approx(polymer_batch(25).polymer)


@pytest.mark.parametrize(
    ("changes", "named"), [({"volume": 0}, "volume"), ({"ratio": 9}, "ratio"), ({"waste": 2}, "waste")]
)
def test_impossible_batches_are_refused_by_name(changes, named):
    with pytest.raises(InputError) as refusal:
        polymer_batch(**{"volume": 27} | changes)
    assert refusal.value.field == named
