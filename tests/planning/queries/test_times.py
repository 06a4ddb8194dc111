import datetime

import pytest

from labcases.cases.actions.moves import finish_stage, hold_stage, resume_stage, start_stage
from labcases.cases.choices import Place, StageKind
from labcases.planning.queries.calendars import laboratory_calendar
from labcases.planning.queries.times import ENOUGH, laboratory_kinds, own_times, standard_times, stored_times
from labcases.planning.scheduling.times import USUAL_TIMES
from labcases.prosthodontics.provenance import Provenance
from tests.factories.cases import StageFactory
from tests.factories.people import TechnicianFactory
from tests.factories.planning import StandardTimeFactory
from tests.planning.laboratory import NOW, at, case_here, stage

pytestmark = pytest.mark.django_db
MONDAY = at(2, 8)


def test_every_kind_of_laboratory_stage_has_a_time():
    assert set(laboratory_kinds()) == {kind for kind in StageKind if kind.place == Place.LABORATORY}
    assert set(standard_times()) == {str(kind) for kind in laboratory_kinds()}


def test_the_laboratory_s_own_time_goes_before_the_delivered_one():
    StandardTimeFactory(stage_kind="occlusion_rims", hands_on_minutes=77, adopted_from=12)
    times = standard_times()
    assert times["occlusion_rims"].hands_on == 77
    assert times["occlusion_rims"].source.provenance is Provenance.DERIVED
    assert "12 stages" in times["occlusion_rims"].source.citation
    assert times["reline"] == USUAL_TIMES["reline"]
    assert set(stored_times()) == {"occlusion_rims"}


def finished(minutes, *, kind=StageKind.TOOTH_ARRANGEMENT, start=MONDAY, arches="both"):
    """A finished stage that took so many working minutes."""
    end = laboratory_calendar().add_minutes(start, minutes)
    return StageFactory(
        kind=kind,
        state="done",
        started_at=start,
        finished_at=end,
        finished_by=TechnicianFactory(),
        case__arches=arches,
    )


def own(now=NOW + datetime.timedelta(days=20)):
    return own_times(laboratory_calendar(), now=now)


def test_the_median_and_the_80th_percentile_are_those_of_finished_stages():
    for minutes in (100, 110, 120, 130, 400):
        finished(minutes)
    StageFactory(kind=StageKind.TOOTH_ARRANGEMENT)
    found = own()["tooth_arrangement"]
    assert (found.count, found.median, found.percentile_80) == (5, 120, 130)
    assert found.is_enough
    assert ENOUGH == 5


def test_nights_do_not_count_as_work():
    finished(600, start=at(6, 8))
    assert own()["tooth_arrangement"].median == 600


def test_a_wait_of_the_standard_is_not_counted_as_hands():
    """Processing: 120 minutes, then 530 of curing; from 8:00 the cure runs from 10:00 to 18:50 and takes the rest
    of the working day, but no hands."""
    finished(480 + 180, kind=StageKind.PROCESSING, start=at(2, 8))
    assert own()["processing"].median == 120 + 180


def test_one_arch_is_scaled_to_both():
    finished(60, arches="maxillary")
    assert own()["tooth_arrangement"].median == 100


def test_old_work_does_not_count():
    finished(100)
    assert own(now=NOW + datetime.timedelta(days=500)) == {}


def test_time_on_hold_is_not_work():
    case = case_here(starts_at=StageKind.TOOTH_ARRANGEMENT)
    by = case.opened_by
    work = stage(case, StageKind.TOOTH_ARRANGEMENT)

    def fresh():
        work.refresh_from_db()
        return {"stage": work, "by": by, "expected_version": work.version}

    start_stage(**fresh(), now=at(2, 9))
    hold_stage(**fresh(), reason="teeth on their way", now=at(2, 10))
    resume_stage(**fresh(), now=at(3, 10))
    finish_stage(**fresh(), now=at(3, 11))
    assert own()["tooth_arrangement"].median == 120
