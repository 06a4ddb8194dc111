import datetime
from decimal import Decimal

import pytest

from labcases.measurements.standards import schools_in_force
from tests.factories.measurements import LabStandardFactory

pytestmark = pytest.mark.django_db

DAY = datetime.date(2026, 3, 2)


def test_the_delivered_choices_hold_until_the_laboratory_has_its_own():
    # Taught as 2 to 4 mm (published, seen in the source); the delivered choice between schools.
    assert schools_in_force(DAY).freeway_range == (Decimal(2), Decimal(4))


def test_the_choices_in_force_are_those_of_the_latest_standard_that_has_begun():
    LabStandardFactory(valid_from=DAY - datetime.timedelta(days=9), schools={"freeway": "2-4"})
    LabStandardFactory(valid_from=DAY, schools={"freeway": "2-3"})
    LabStandardFactory(valid_from=DAY + datetime.timedelta(days=1), schools={"freeway": "2-4"})
    assert schools_in_force(DAY).freeway_range == (Decimal(2), Decimal(3))
