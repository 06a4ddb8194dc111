"""A case's stages as stops: what was done, where it stands, what is ahead, and the way back."""

import datetime

import pytest
from django.utils import timezone

from labcases.cases.actions.crossings import hand_to_clinic
from labcases.cases.actions.intake import cancel_case
from labcases.cases.actions.returns import send_back
from labcases.cases.choices import ReturnCause, StageKind
from labcases.cases.queries import returns_of, stages_of, stages_to_return_to
from labcases.pages.ways import stops_of
from tests.factories.people import ManagerFactory
from tests.office.desk import case_now, work_through

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager():
    return ManagerFactory()


def way(case):
    case.refresh_from_db()
    return stops_of(case, stages_of(case), returns_of(case))


def test_stops_follow_the_path_with_one_where_the_case_is(manager):
    case = case_now()
    stops = way(case)
    assert [stop.label for stop in stops] == [stage.get_kind_display() for stage in stages_of(case)]
    assert [stop.label for stop in stops if stop.current] == ["Custom tray"]


def test_what_is_done_has_its_day_and_what_is_ahead_its_due_day(manager):
    case = case_now()
    day = datetime.date(2024, 5, 21)
    case.stages.filter(kind=StageKind.TRY_IN).update(due_on=day)
    work_through(case, StageKind.RECORD_BASE, manager)
    texts = {stop.label: stop.date_text for stop in way(case)}
    assert texts["Preliminary impressions"] == ""
    assert (
        texts["Custom tray"]
        == f"{timezone.localdate():%a} {timezone.localdate().day} {timezone.localdate():%b}"
    )
    assert texts["Try-in"] == "due Tue 21 May 2024"


def test_a_return_leads_back_to_the_stage_that_is_done_again(manager):
    case = case_now()
    stage = work_through(case, StageKind.JAW_RELATION, manager)
    hand_to_clinic(case=case, by=manager, now=timezone.now())
    send_back(
        stage=stage,
        to=next(each for each in stages_to_return_to(case) if each.kind == StageKind.OCCLUSION_RIMS),
        cause=ReturnCause.RIM_HEIGHT,
        note="",
        by=manager,
        expected_version=stage.version,
        now=timezone.now(),
    )
    stops = way(case)
    (back,) = [stop for stop in stops if stop.back_to is not None]
    assert (back.label, stops[back.back_to].label) == ("Jaw relation record", "Occlusion rims")
    assert [(stop.label, stop.visit) for stop in stops if stop.current] == [("Occlusion rims", 2)]


def test_a_closed_case_stands_nowhere(manager):
    case = case_now()
    cancel_case(case=case, by=manager, reason="Sent twice", expected_version=case.version, now=timezone.now())
    assert not any(stop.current for stop in way(case))
