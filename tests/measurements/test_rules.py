from decimal import Decimal

import pytest

from labcases.measurements.rules import freeway_space_of
from tests.factories.cases import StageFactory
from tests.factories.measurements import ReadingFactory

pytestmark = pytest.mark.django_db

USUAL = (Decimal(2), Decimal(4))
REST, OCCLUSION = "vertical_dimension_rest", "vertical_dimension_occlusion"


def reading(stage, quantity, *repeats):
    return ReadingFactory(stage=stage, quantity=quantity, arch="", repeats=list(repeats))


def test_freeway_space_is_rest_less_occlusion_of_one_sitting():
    stage = StageFactory()
    space = freeway_space_of([reading(stage, REST, "68.0"), reading(stage, OCCLUSION, "66.5")], usual=USUAL)
    # Worked example, derived: VDR 68.0 − VDO 66.5 = 1.5 mm.
    assert space.value == pytest.approx(1.5)
    assert space.doubtful


def test_the_latest_sitting_with_both_dimensions_counts():
    first, second = StageFactory(), StageFactory()
    readings = [
        reading(first, REST, "68.0"),
        reading(first, OCCLUSION, "66.5"),
        reading(second, REST, "69.0"),
        reading(second, OCCLUSION, "66.0", "66.0", "66.0"),
    ]
    assert freeway_space_of(readings, usual=USUAL).value == pytest.approx(3.0)


def test_dimensions_of_two_sittings_make_no_freeway_space():
    readings = [reading(StageFactory(), REST, "68.0"), reading(StageFactory(), OCCLUSION, "66.5")]
    assert freeway_space_of(readings, usual=USUAL) is None
