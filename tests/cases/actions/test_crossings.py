"""The case crosses between clinic and laboratory, and what came in is disinfected first."""

import datetime

import pytest

from labcases.cases.actions.crossings import accept_at_clinic, hand_to_clinic, receive_at_laboratory
from labcases.cases.actions.intake import cancel_case
from labcases.cases.choices import Act, Location, StageKind
from labcases.cases.models import Case, Disinfection
from labcases.people.refusals import Conflict, NotAllowed, Refused
from tests.cases.walking import current, only_event_since, receive, walk_to
from tests.factories.cases import NOW, taken_in_case
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db

LATER = NOW + datetime.timedelta(hours=2)


@pytest.fixture
def manager():
    return ManagerFactory()


@pytest.fixture
def technician():
    return TechnicianFactory()


@pytest.fixture
def clinician():
    return ClinicianFactory()


@pytest.fixture
def case(clinician):
    return taken_in_case(prescriber=clinician, starts_at=StageKind.OCCLUSION_RIMS)


def take_in(case, by, **changes):
    given = {"agent": "Label A", "minutes": 10, "minutes_required": 10, "now": LATER}
    receive_at_laboratory(case=case, by=by, **(given | changes))


def location(case):
    return Case.objects.get(pk=case.pk).location


def test_what_came_in_is_received_with_its_disinfection(case, technician):
    before = case.events.count()
    take_in(case, technician, agent="  Label A 1:10 ", minutes=12)
    assert location(case) == Location.LABORATORY
    kept = case.disinfections.get()
    assert (kept.agent, kept.minutes, kept.minutes_required, kept.by, kept.at, kept.stage.kind) == (
        "Label A 1:10",
        12,
        10,
        technician,
        LATER,
        StageKind.OCCLUSION_RIMS,
    )
    event = only_event_since(case, before)
    assert (event.act, event.by, event.at) == (Act.RECEIVED, technician, LATER)
    assert event.before == {"location": "to_laboratory"}
    assert event.after == {"agent": "Label A 1:10", "minutes": 12, "minutes_required": 10}


@pytest.mark.parametrize(("minutes", "required"), [(9, 10), (0, 10), (-1, 10), (0, 0), (-1, -1), (5, 0)])
def test_a_disinfection_shorter_than_its_label_or_without_a_time_is_refused(
    case, technician, minutes, required
):
    with pytest.raises(Refused, match="minute"):
        take_in(case, technician, minutes=minutes, minutes_required=required)
    assert location(case) == Location.TO_LABORATORY
    assert not Disinfection.objects.exists()
    take_in(case, technician)


@pytest.mark.parametrize("agent", ["", "  ", "\t"])
def test_the_disinfectant_is_named(case, technician, agent):
    with pytest.raises(Refused, match="Name the disinfectant"):
        take_in(case, technician, agent=agent)
    assert location(case) == Location.TO_LABORATORY


def test_only_the_laboratory_receives(case, clinician):
    with pytest.raises(NotAllowed):
        take_in(case, clinician)


def test_a_case_is_received_once(case, technician, manager):
    take_in(case, technician)
    with pytest.raises(Conflict, match="at the laboratory") as conflict:
        take_in(case, manager)
    assert (conflict.value.who, conflict.value.when) == (str(technician), LATER)
    assert case.disinfections.count() == 1


def test_an_incomplete_case_is_received_too_for_its_impressions_do_not_wait(technician):
    case = taken_in_case(base_material="")
    take_in(case, technician)
    assert location(case) == Location.LABORATORY


def test_a_cancelled_case_is_not_received(case, technician, manager):
    cancel_case(case=case, by=manager, reason="Moved", expected_version=case.version, now=NOW)
    with pytest.raises(Refused, match="cancelled"):
        take_in(case, technician)


def test_each_time_the_work_comes_in_it_is_disinfected_again(case, manager):
    walk_to(case, StageKind.PROCESSING, manager)
    assert location(case) == Location.TO_LABORATORY
    take_in(case, manager)
    stages = list(case.disinfections.order_by("pk").values_list("stage__kind", flat=True))
    assert stages == ["occlusion_rims", "tooth_arrangement", "processing"]


def test_finished_work_is_handed_over_and_arrives(case, technician, manager, clinician):
    walk_to(case, StageKind.JAW_RELATION, manager)
    before = case.events.count()
    hand_to_clinic(case=case, by=technician, now=LATER)
    assert location(case) == Location.TO_CLINIC
    event = only_event_since(case, before)
    assert (event.act, event.by, event.before) == (Act.HANDED_OVER, technician, {"location": "laboratory"})
    accept_at_clinic(case=case, by=clinician, now=LATER)
    assert location(case) == Location.CLINIC
    event = only_event_since(case, before + 1)
    assert (event.act, event.by, event.before) == (Act.ARRIVED, clinician, {"location": "to_clinic"})


def test_work_that_the_laboratory_still_has_to_do_is_not_handed_over(case, technician):
    receive(case, technician)
    with pytest.raises(Refused, match="work left"):
        hand_to_clinic(case=case, by=technician, now=LATER)
    assert location(case) == Location.LABORATORY


def test_work_is_handed_over_and_arrives_once(case, technician, manager, clinician):
    walk_to(case, StageKind.JAW_RELATION, manager)
    hand_to_clinic(case=case, by=technician, now=LATER)
    with pytest.raises(Conflict, match="on its way to the clinic"):
        hand_to_clinic(case=case, by=manager, now=LATER)
    accept_at_clinic(case=case, by=clinician, now=LATER)
    with pytest.raises(Conflict, match="at the clinic"):
        accept_at_clinic(case=case, by=manager, now=LATER)


def test_only_the_laboratory_hands_over_and_only_the_practice_confirms(case, technician, manager, clinician):
    walk_to(case, StageKind.JAW_RELATION, manager)
    with pytest.raises(NotAllowed):
        hand_to_clinic(case=case, by=clinician, now=LATER)
    hand_to_clinic(case=case, by=technician, now=LATER)
    for someone in (technician, ClinicianFactory()):
        with pytest.raises(NotAllowed):
            accept_at_clinic(case=case, by=someone, now=LATER)
    assert current(case).kind == StageKind.JAW_RELATION
    assert location(case) == Location.TO_CLINIC
