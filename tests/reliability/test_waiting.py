"""An act that had to wait for another sees the case as the other left it."""

import pytest

from labcases.cases.actions.crossings import hand_to_clinic, receive_at_laboratory
from labcases.cases.actions.moves import finish_stage, start_stage
from labcases.cases.choices import Location, StageKind
from labcases.cases.models import Case, Stage
from tests.factories.cases import NOW, add_figures, taken_in_case
from tests.factories.measurements import entry
from tests.factories.people import ManagerFactory
from tests.reliability.together import while_waiting

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def manager():
    return ManagerFactory()


@pytest.fixture
def rims_at_work(manager):
    case = taken_in_case(starts_at=StageKind.OCCLUSION_RIMS)
    receive_at_laboratory(case=case, agent="Label A", minutes=10, minutes_required=10, by=manager, now=NOW)
    stage = Stage.objects.with_case().get(pk=case.current_stage_id)
    start_stage(stage=stage, by=manager, expected_version=1, now=NOW)
    return stage


def test_work_that_was_being_finished_is_handed_over_by_who_waited(manager, rims_at_work):
    case = rims_at_work.case
    with while_waiting(lambda: hand_to_clinic(case=case, by=manager, now=NOW)) as answer:
        finish_stage(stage=rims_at_work, by=manager, expected_version=2, now=NOW)
    assert answer == [None]
    assert Case.objects.get(pk=case.pk).location == Location.TO_CLINIC


def test_a_chairside_figure_that_waited_belongs_to_the_stage_that_is_next_now(manager, rims_at_work):
    case = rims_at_work.case
    figure = entry("papilla_to_resting_lip", "7.5", instrument="papillameter")
    with while_waiting(lambda: add_figures(case, [figure], by=manager, now=NOW)) as answer:
        finish_stage(stage=rims_at_work, by=manager, expected_version=2, now=NOW)
    assert answer == [None]
    assert case.readings.get().stage.kind == StageKind.JAW_RELATION
