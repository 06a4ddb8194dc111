"""Whatever was measured, however odd together: a sheet and a ticket tell what follows, and never break."""

import random
from decimal import Decimal

import pytest

from labcases.cases.models import Case, Stage
from labcases.measurements.derivations.stages import TOLD_AT, _gathered, _strips
from labcases.prosthodontics.quantities import QUANTITIES
from labcases.prosthodontics.standard import SCHOOL_CHOICES, Schools
from labcases.prosthodontics.teeth import Mould
from tests.measurements.derivations.made import CASTS, EARLIER, HERE, TARGETS, case, line, reading

SEEDS = 150


def some(rng, low, high):
    return str(Decimal(rng.randint(int(low * 100), int(high * 100))) / 100)


def random_readings(rng):
    """Figures anywhere in what is possible, or a plausible cast; at this stage, an earlier one, or both."""
    found = []
    plausible = rng.random() < 0.5
    for name, kind in QUANTITIES.items():
        for arch in kind.arches or ("",):
            value = CASTS.get(arch, {}).get(name) if plausible else None
            if value is None and rng.random() < 0.5:
                value = some(rng, *(kind.unusual if rng.random() < 0.6 else kind.cannot_be))
            if value is not None:
                stages = rng.choice([(EARLIER,), (HERE,), (EARLIER, HERE)])
                u = rng.choice(["0", "0.1", "0.35"])
                found += [reading(name, value, arch=arch, u=u, stage=stage) for stage in stages]
    return found


def random_lines(rng):
    found = []
    for arch, targets in TARGETS.items():
        for name, usual in targets.items():
            if rng.random() < 0.85:
                odd = some(rng, *QUANTITIES[name].cannot_be) if rng.random() < 0.2 else usual
                found.append(line(name, odd, arch=arch, uncertainty=rng.choice([None, "0.3"])))
    return found


@pytest.mark.parametrize("seed", range(SEEDS))
def test_what_follows_is_always_told(seed):
    rng = random.Random(seed)
    schools = Schools(**{choice.name: rng.choice(choice.options)[0] for choice in SCHOOL_CHOICES})
    found = case(*random_readings(rng), specified=random_lines(rng), schools=schools)
    moulds = (Mould("Pebble", Decimal(46), None, Decimal(10), Decimal(31)), Mould("Shell"))
    moulds = rng.choice([(), moulds[:1], moulds])
    for kind in TOLD_AT:
        stage = Stage(pk=HERE, kind=kind, visit=1, position=HERE, case=Case(arches="both"))
        follows = _gathered(stage, found, moulds, None)
        for block in follows.blocks:
            assert not block.is_empty
            for each in block.lines:
                assert each.figure
                assert "nan" not in each.words
                assert each.source
        for strip in _strips(found, follows.shapes, moulds).values():
            assert (strip.strip is None) == bool(strip.obstacle)
