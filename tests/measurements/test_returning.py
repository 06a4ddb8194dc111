from decimal import Decimal

import pytest

from labcases.cases.choices import Location, StageKind
from labcases.cases.queries import stages_to_return_to
from labcases.measurements.actions.prescribing import prescribe_dimensions
from labcases.measurements.actions.returning import send_back
from labcases.measurements.queries import current_specification
from tests.factories.cases import NOW
from tests.factories.people import ManagerFactory
from tests.factories.visits import case_at

pytestmark = pytest.mark.django_db

HEIGHT = ("occlusion_rims", "maxillary", "anterior_height")


def test_what_was_prescribed_after_the_rims_were_done_counts_for_doing_them_again():
    manager = ManagerFactory()
    case, stage = case_at(StageKind.TOOTH_ARRANGEMENT, location=Location.LABORATORY)
    prescribe_dimensions(case=case, prescribed={HEIGHT: Decimal("19.5")}, by=manager, now=NOW)
    done = current_specification(case, "occlusion_rims")
    assert done.lines.get(arch="maxillary", name="anterior_height").basis != "prescribed"
    rims = next(each for each in stages_to_return_to(case) if each.kind == "occlusion_rims")
    send_back(
        stage=stage,
        to=rims,
        cause="rim_height",
        note="",
        by=manager,
        expected_version=stage.version,
        now=NOW,
    )
    again = current_specification(case, "occlusion_rims")
    assert again.revision == done.revision + 1
    assert again.lines.get(arch="maxillary", name="anterior_height").target == Decimal("19.500")
