"""Taking in a case: kept even when incomplete, complete by its signature, changed only as it was seen."""

import datetime

import pytest
from django.test import override_settings

from labcases.cases.actions.checklists import set_path
from labcases.cases.actions.crossings import receive_at_laboratory
from labcases.cases.actions.intake import (
    PRESCRIPTION_FIELDS,
    cancel_case,
    change_prescription,
    open_case,
    sign_prescription,
)
from labcases.cases.choices import Act, Arches, CaseKind, CaseState, Location, StageKind, StageState
from labcases.cases.models import Case, NumberSeries
from labcases.cases.numbers import parse_case_number
from labcases.people.refusals import Conflict, NotAllowed, Refused
from tests.cases.walking import current, only_event_since, start, walk_to_the_end
from tests.factories.cases import FULL_PRESCRIPTION, NOW, taken_in_case
from tests.factories.people import (
    ClinicianFactory,
    LaboratoryFactory,
    ManagerFactory,
    PracticeFactory,
    TechnicianFactory,
)

pytestmark = pytest.mark.django_db

LATER = NOW + datetime.timedelta(days=1)
WANTED = {StageKind.INSERTION: NOW.date() + datetime.timedelta(days=30)}


@pytest.fixture
def manager():
    return ManagerFactory()


@pytest.fixture
def clinician():
    LaboratoryFactory()
    return ClinicianFactory()


def opened(by, *, prescriber=None, prescription=None, **changes):
    given = {
        "practice": prescriber.practice if prescriber else by.practice,
        "kind": CaseKind.COMPLETE,
        "arches": Arches.BOTH,
        "prescription": {**FULL_PRESCRIPTION, "prescriber": prescriber or by, **(prescription or {})},
        "dates": WANTED,
        "starts_at": StageKind.CUSTOM_TRAY,
        "by": by,
        "now": NOW,
    }
    case = open_case(**(given | changes))
    return Case.objects.get(pk=case.pk)


def signed(case, by, **changes):
    sign_prescription(**({"case": case, "by": by, "expected_version": case.version, "now": LATER} | changes))
    return Case.objects.get(pk=case.pk)


def changed(case, by, **changes):
    extra = {"expected_version": case.version, "now": LATER} | changes.pop("with_", {})
    change_prescription(case=case, changes=changes, by=by, **extra)
    return Case.objects.get(pk=case.pk)


# ---- opening ----


def test_a_prescription_is_kept_with_its_path_and_its_place(clinician):
    case = opened(clinician)
    assert (case.practice, case.prescriber, case.opened_by, case.opened_at) == (
        clinician.practice,
        clinician,
        clinician,
        NOW,
    )
    assert {name: getattr(case, name) for name in FULL_PRESCRIPTION} == FULL_PRESCRIPTION
    assert (case.location, current(case).kind) == (Location.TO_LABORATORY, StageKind.CUSTOM_TRAY)
    (event,) = case.events.all()
    assert (event.act, event.by, event.at) == (Act.OPENED, clinician, NOW)
    assert event.after == {
        "kind": "complete",
        "arches": "both",
        "starts_at": "custom_tray",
        **dict.fromkeys(("order_number", "patient_sex", "tooth_wishes", "notes"), ""),
        "prescriber": str(clinician),
        **FULL_PRESCRIPTION,
    }


def test_stages_before_the_start_were_done_elsewhere(clinician):
    case = opened(clinician, starts_at=StageKind.OCCLUSION_RIMS)
    states = dict(case.stages.values_list("kind", "state"))
    earlier = [
        "preliminary_impressions",
        "custom_tray",
        "definitive_impressions",
        "master_cast",
        "record_base",
    ]
    assert [kind for kind, state in states.items() if state == StageState.SKIPPED] == earlier
    assert len(states) == 11


def test_a_case_that_starts_at_the_clinic_is_there(clinician):
    case = opened(clinician, starts_at=StageKind.JAW_RELATION)
    assert (case.location, current(case).kind) == (Location.CLINIC, StageKind.JAW_RELATION)


@pytest.mark.parametrize(
    ("kind", "starts_at"), [(CaseKind.RELINE, StageKind.RELINE), (CaseKind.COPY, StageKind.COPY_TEMPLATE)]
)
def test_another_kind_of_case_takes_its_own_path(clinician, kind, starts_at):
    case = opened(clinician, kind=kind, starts_at=starts_at)
    assert current(case).kind == starts_at
    assert not case.stages.filter(kind=StageKind.CUSTOM_TRAY).exists()


def test_a_case_does_not_start_where_its_path_has_no_stage(clinician):
    with pytest.raises(Refused, match="no such stage"):
        opened(clinician, kind=CaseKind.RELINE, starts_at=StageKind.CUSTOM_TRAY)
    assert not Case.objects.exists()


def test_the_laboratorys_own_path_holds_for_new_cases(clinician, manager):
    own = [StageKind.CUSTOM_TRAY, StageKind.OCCLUSION_RIMS, StageKind.INSERTION]
    before = opened(clinician)
    set_path(case_kind=CaseKind.COMPLETE, stage_kinds=own, by=manager)
    after = opened(clinician)
    assert list(after.stages.order_by("position").values_list("kind", flat=True)) == own
    assert before.stages.count() == 11


def test_only_the_practice_or_a_manager_prescribes(clinician, manager):
    assert opened(clinician).practice == clinician.practice
    assert opened(manager, prescriber=clinician).practice == clinician.practice
    for someone in (TechnicianFactory(), ClinicianFactory()):
        with pytest.raises(NotAllowed):
            opened(someone, prescriber=clinician)


def test_the_prescriber_is_a_clinician_of_the_practice(clinician, manager):
    for someone in (ClinicianFactory(), TechnicianFactory(), manager):
        with pytest.raises(Refused, match="does not prescribe"):
            opened(manager, prescriber=clinician, prescription={"prescriber": someone})
        case = opened(clinician)
        with pytest.raises(Refused, match="does not prescribe"):
            changed(case, clinician, prescriber=someone)
    colleague = ClinicianFactory(practice=clinician.practice)
    assert changed(case, clinician, prescriber=colleague).prescriber == colleague


def test_a_name_that_is_no_part_of_a_prescription_is_an_error_of_the_program(clinician):
    with pytest.raises(ValueError, match="state"):
        opened(clinician, prescription={"state": "open"})
    assert "state" not in PRESCRIPTION_FIELDS
    assert not Case.objects.exists()


# ---- numbers ----


def test_numbers_follow_each_other_within_a_year_and_begin_anew_with_the_next(clinician):
    first, second = opened(clinician).number, opened(clinician).number
    assert parse_case_number(first) == first
    assert first[:3] == second[:3] == "26-"
    assert second > first
    next_year = opened(clinician, now=datetime.datetime(2027, 1, 4, 9, 0, tzinfo=datetime.UTC)).number
    assert next_year[:6] == "27-000"


@pytest.mark.parametrize(("zone", "year"), [("Pacific/Auckland", "27-"), ("Pacific/Pago_Pago", "26-")])
def test_the_year_of_a_number_is_the_laboratorys_own(clinician, zone, year):
    """At noon UTC on New Year's Eve it is New Year's Day in Auckland."""
    with override_settings(TIME_ZONE=zone):
        case = opened(clinician, now=datetime.datetime(2026, 12, 31, 12, 0, tzinfo=datetime.UTC))
    assert case.number[:3] == year


def test_a_case_that_was_not_kept_takes_no_number(clinician):
    opened(clinician)
    last = NumberSeries.objects.get(year=2026).last
    with pytest.raises(Refused):
        opened(clinician, starts_at=StageKind.RELINE)
    assert NumberSeries.objects.get(year=2026).last == last


# ---- complete or not ----


def test_an_unsigned_prescription_is_kept_as_incomplete(clinician):
    assert opened(clinician).state == CaseState.INCOMPLETE


def test_signing_completes_it(clinician):
    case = opened(clinician)
    before = case.events.count()
    case = signed(case, clinician)
    assert (case.state, case.signed_by, case.signed_at) == (CaseState.OPEN, clinician, LATER)
    event = only_event_since(case, before)
    assert (event.act, event.by, event.at) == (Act.SIGNED, clinician, LATER)
    assert event.after == {"how": "on the screen"}


def test_a_manager_signs_for_the_signed_paper(clinician, manager):
    case = signed(opened(clinician), manager)
    assert case.events.get(act=Act.SIGNED).after == {"how": "signed paper held by the laboratory"}


def test_signing_what_lacks_something_keeps_it_incomplete_until_that_is_there(clinician):
    case = signed(opened(clinician, prescription={"base_material": ""}), clinician)
    assert case.state == CaseState.INCOMPLETE
    case = changed(case, clinician, base_material="Acrylic")
    assert (case.state, case.signed_at) == (CaseState.INCOMPLETE, None)
    assert signed(case, clinician).state == CaseState.OPEN


def test_a_change_takes_the_signature_away(clinician):
    case = signed(opened(clinician), clinician)
    before = case.events.count()
    case = changed(case, clinician, shade="Cool light")
    assert (case.shade, case.signed_by, case.signed_at, case.state) == (
        "Cool light",
        None,
        None,
        CaseState.INCOMPLETE,
    )
    event = only_event_since(case, before)
    assert (event.act, event.by, event.at) == (Act.PRESCRIPTION_CHANGED, clinician, LATER)
    assert (event.before, event.after) == ({"shade": "Warm light"}, {"shade": "Cool light"})


def test_saving_it_unchanged_keeps_the_signature_and_logs_nothing(clinician):
    case = signed(opened(clinician), clinician)
    before = case.events.count()
    case = changed(case, clinician, **FULL_PRESCRIPTION)
    assert (case.signed_at, case.state, case.events.count()) == (LATER, CaseState.OPEN, before)


def test_work_that_has_begun_is_not_stopped_by_a_change(clinician, manager):
    case = signed(opened(clinician), clinician)
    receive_at_laboratory(case=case, agent="A", minutes=10, minutes_required=10, by=manager, now=LATER)
    start(current(case), manager, now=LATER)
    case = changed(Case.objects.get(pk=case.pk), clinician, shade="Cool light")
    assert (case.state, case.signed_at) == (CaseState.OPEN, None)


def test_a_signature_is_given_once(clinician, manager):
    case = opened(clinician)
    signed(case, clinician)
    for version in (case.version, case.version + 1):
        with pytest.raises(Conflict):
            signed(case, manager, expected_version=version)
    assert Case.objects.get(pk=case.pk).signed_by == clinician


def test_only_the_practice_or_a_manager_signs(clinician):
    case = opened(clinician)
    for someone in (TechnicianFactory(), ClinicianFactory()):
        with pytest.raises(NotAllowed):
            signed(case, someone)
    assert Case.objects.get(pk=case.pk).signed_at is None


def test_nothing_is_signed_or_changed_once_the_case_is_cancelled(clinician, manager):
    case = opened(clinician)
    cancel_case(case=case, by=manager, reason="Moved", expected_version=1, now=NOW)
    case = Case.objects.get(pk=case.pk)
    with pytest.raises(Conflict):
        signed(case, clinician)
    with pytest.raises(Conflict):
        changed(case, clinician, shade="Cool")
    assert Case.objects.get(pk=case.pk).signed_at is None


def test_an_old_page_changes_nothing(clinician):
    case = opened(clinician)
    changed(case, clinician, shade="Cool")
    with pytest.raises(Conflict) as conflict:
        changed(case, clinician, shade="Grey", base_material="Other")
    assert (conflict.value.who, conflict.value.what) == (str(clinician), "Prescription changed")
    kept = Case.objects.get(pk=case.pk)
    assert (kept.shade, kept.base_material) == ("Cool", FULL_PRESCRIPTION["base_material"])


def test_only_the_practice_or_a_manager_changes_it(clinician, manager):
    case = opened(clinician)
    for someone in (TechnicianFactory(), ClinicianFactory()):
        with pytest.raises(NotAllowed):
            changed(case, someone, shade="Cool")
    assert changed(case, manager, shade="Cool").shade == "Cool"


# ---- cancelling ----


def test_a_manager_cancels_with_a_reason(clinician, manager):
    case = opened(clinician)
    before = case.events.count()
    cancel_case(case=case, by=manager, reason=" Patient moved away ", expected_version=1, now=LATER)
    case.refresh_from_db()
    assert (case.state, case.version) == (CaseState.CANCELLED, 2)
    event = only_event_since(case, before)
    assert (event.act, event.by, event.reason) == (Act.CANCELLED, manager, "Patient moved away")
    assert event.before == {"state": "incomplete"}


def test_cancelling_wants_a_manager_a_reason_and_the_page_as_it_is(clinician, manager):
    case = opened(clinician)
    for someone in (TechnicianFactory(), clinician):
        with pytest.raises(NotAllowed):
            cancel_case(case=case, by=someone, reason="x", expected_version=1, now=LATER)
    with pytest.raises(Refused, match="Say why"):
        cancel_case(case=case, by=manager, reason="  ", expected_version=1, now=LATER)
    with pytest.raises(Conflict):
        cancel_case(case=case, by=manager, reason="x", expected_version=2, now=LATER)
    assert Case.objects.get(pk=case.pk).state == CaseState.INCOMPLETE


def test_a_complete_case_is_not_cancelled(manager):
    case = taken_in_case(starts_at=StageKind.INSERTION)
    case = walk_to_the_end(case, manager)
    with pytest.raises(Conflict):
        cancel_case(case=case, by=manager, reason="x", expected_version=case.version, now=LATER)


def test_a_practice_without_an_address_or_a_laboratory_without_one_is_incomplete(manager):
    prescriber = ClinicianFactory(practice=PracticeFactory(address=""))
    case = taken_in_case(prescriber=prescriber, by=manager)
    assert case.state == CaseState.INCOMPLETE


def test_a_practices_order_is_taken_in_once_until_its_case_is_cancelled():
    case = taken_in_case(order_number="A-1")
    with pytest.raises(Refused, match=f"is here already, as case {case.number}"):
        taken_in_case(prescriber=case.prescriber, order_number="A-1")
    assert taken_in_case(order_number="A-1").practice != case.practice
    manager = ManagerFactory()
    cancel_case(case=case, by=manager, reason="Ordered twice", expected_version=case.version, now=NOW)
    assert taken_in_case(prescriber=case.prescriber, order_number="A-1").is_open


def test_an_order_number_is_filed_without_taking_the_signature_away():
    case, other = taken_in_case(), taken_in_case(order_number="B-2")
    number(case, "B-1")
    case.refresh_from_db()
    assert case.order_number == "B-1"
    assert case.signed_at is not None
    same_practice = taken_in_case(prescriber=other.prescriber)
    with pytest.raises(Refused, match="B-2"):
        number(same_practice, "B-2")


def number(case, text):
    changes = {"order_number": text}
    change_prescription(
        case=case, changes=changes, by=ManagerFactory(), expected_version=case.version, now=NOW
    )
