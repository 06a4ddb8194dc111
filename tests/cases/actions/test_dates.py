"""The days on which work is wanted at the clinic, and the laboratory's due days before them."""

import datetime

import pytest

from labcases.cases.actions.dates import set_dates, working_day_before
from labcases.cases.actions.intake import cancel_case
from labcases.cases.choices import Act, CaseState, StageKind
from labcases.cases.models import Case
from labcases.people.refusals import Conflict, NotAllowed
from tests.cases.walking import only_event_since, walk_to
from tests.factories.cases import NOW, taken_in_case
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db

CLINIC = ["definitive_impressions", "jaw_relation", "try_in", "insertion"]
FRIDAY = datetime.date(2026, 3, 6)
MONDAY = datetime.date(2026, 3, 9)
TUESDAY = datetime.date(2026, 3, 10)


@pytest.fixture
def manager():
    return ManagerFactory()


@pytest.fixture
def case():
    """Wanted on four Mondays, a week apart, from 9 March on."""
    return taken_in_case(prescriber=ClinicianFactory())


def due(case):
    return dict(case.stages.values_list("kind", "due_on"))


def dated(case, by, expected_version=None, **dates):
    set_dates(case=case, dates=dates, by=by, now=NOW, expected_version=expected_version)
    return due(case)


@pytest.mark.parametrize(
    ("day", "before"),
    [
        (TUESDAY, MONDAY),
        (MONDAY, FRIDAY),
        (datetime.date(2026, 3, 8), FRIDAY),
        (datetime.date(2026, 3, 7), FRIDAY),
        (datetime.date(2027, 1, 1), datetime.date(2026, 12, 31)),
        (datetime.date(2028, 3, 1), datetime.date(2028, 2, 29)),
    ],
)
def test_the_work_is_due_on_the_last_weekday_before(day, before):
    assert working_day_before(day) == before


def test_every_laboratory_stage_is_due_before_the_next_visit(case):
    assert due(case) == {
        "preliminary_impressions": None,
        "custom_tray": FRIDAY,
        "definitive_impressions": MONDAY,
        "master_cast": datetime.date(2026, 3, 13),
        "record_base": datetime.date(2026, 3, 13),
        "occlusion_rims": datetime.date(2026, 3, 13),
        "jaw_relation": datetime.date(2026, 3, 16),
        "tooth_arrangement": datetime.date(2026, 3, 20),
        "try_in": datetime.date(2026, 3, 23),
        "processing": datetime.date(2026, 3, 27),
        "insertion": datetime.date(2026, 3, 30),
    }


def test_a_moved_appointment_moves_the_laboratorys_days_before_it_and_no_others(case, manager):
    before, events, version = due(case), case.events.count(), Case.objects.get(pk=case.pk).version
    day = datetime.date(2026, 3, 19)
    after = dated(case, manager, jaw_relation=day)
    moved = {kind for kind in after if after[kind] != before[kind]}
    assert moved == {"jaw_relation", "master_cast", "record_base", "occlusion_rims"}
    assert after["occlusion_rims"] == datetime.date(2026, 3, 18)
    event = only_event_since(case, events)
    assert (event.act, event.by, event.at) == (Act.DATED, manager, NOW)
    assert (event.before, event.after) == ({"jaw_relation": "2026-03-16"}, {"jaw_relation": "2026-03-19"})
    assert Case.objects.get(pk=case.pk).version == version + 1


def test_a_day_taken_away_takes_the_laboratorys_days_with_it(case, manager):
    after = dated(case, manager, try_in=None)
    assert case.events.filter(act=Act.DATED).get().after == {"try_in": "None"}
    assert (after["try_in"], after["tooth_arrangement"]) == (None, None)
    assert after["processing"] == datetime.date(2026, 3, 27)


def test_days_of_stages_that_are_done_stay_as_they_were(case, manager):
    walk_to(case, StageKind.OCCLUSION_RIMS, manager)
    before = due(case)
    after = dated(case, manager, definitive_impressions=datetime.date(2026, 5, 4), jaw_relation=TUESDAY)
    assert after["definitive_impressions"] == before["definitive_impressions"]
    assert after["master_cast"] == before["master_cast"]
    assert (after["jaw_relation"], after["occlusion_rims"]) == (TUESDAY, MONDAY)


def test_the_practice_and_a_manager_set_days_nobody_else(case, manager):
    dated(case, case.prescriber, jaw_relation=TUESDAY)
    dated(case, manager, jaw_relation=MONDAY)
    for someone in (TechnicianFactory(), ClinicianFactory()):
        with pytest.raises(NotAllowed):
            dated(case, someone, jaw_relation=TUESDAY)
    assert due(case)["jaw_relation"] == MONDAY


def test_a_page_that_was_loaded_before_sets_nothing(case, manager):
    seen = Case.objects.get(pk=case.pk).version
    dated(case, manager, seen, jaw_relation=TUESDAY)
    with pytest.raises(Conflict):
        dated(case, manager, seen, jaw_relation=MONDAY)
    assert due(case)["jaw_relation"] == TUESDAY


def test_a_closed_case_has_no_days_to_set(case, manager):
    case.refresh_from_db()
    cancel_case(case=case, by=manager, reason="Moved", expected_version=case.version, now=NOW)
    with pytest.raises(Conflict):
        dated(case, manager, jaw_relation=TUESDAY)


def test_without_any_day_the_prescription_is_incomplete(case, manager):
    dated(case, manager, **dict.fromkeys(CLINIC))
    assert Case.objects.get(pk=case.pk).state == CaseState.INCOMPLETE
    dated(case, manager, insertion=TUESDAY)
    assert Case.objects.get(pk=case.pk).state == CaseState.OPEN
