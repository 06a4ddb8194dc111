"""Changing a prescription with its figures, dates and dimensions in one step."""

import datetime
from decimal import Decimal

import pytest

from labcases.cases.actions.dates import set_dates
from labcases.cases.choices import Act, CaseState
from labcases.measurements.actions.prescribing import amend_case
from labcases.measurements.queries import prescribed_for, standing_readings
from labcases.people.refusals import Conflict, Refused
from tests.factories.cases import NOW, taken_in_case
from tests.factories.measurements import entry
from tests.factories.people import ManagerFactory

pytestmark = pytest.mark.django_db

LIP = "papilla_to_resting_lip"
HEIGHT = ("occlusion_rims", "maxillary", "anterior_height")


def amend(case, **changes):
    case.refresh_from_db()
    given = {
        "changes": {},
        "dates": {},
        "figures": (),
        "corrections": (),
        "reason": "",
        "prescribed": {},
        "by": ManagerFactory(),
        "expected_version": case.version,
        "now": NOW,
    }
    amend_case(case=case, **(given | changes))
    case.refresh_from_db()
    return case


def test_a_changed_field_a_new_figure_and_a_date_are_kept_together():
    case = taken_in_case()
    day = NOW.date() + datetime.timedelta(days=40)
    amend(case, changes={"shade": "Cool"}, figures=[entry(LIP, "7.5")], dates={"try_in": day})
    assert case.shade == "Cool"
    assert case.stages.get(kind="try_in").due_on == day
    assert [reading.quantity for reading in standing_readings(case)] == [LIP]
    assert {Act.PRESCRIPTION_CHANGED, Act.DATED, Act.READING} <= set(
        case.events.values_list("act", flat=True)
    )


def test_a_corrected_figure_keeps_the_old_one_and_its_reason():
    case = taken_in_case(figures=[entry(LIP, "7.5")])
    (old,) = standing_readings(case)
    amend(case, corrections=[(old, entry(LIP, "8.5"))], reason="Read from the wrong scale")
    (new,) = standing_readings(case)
    assert (new.value, new.supersedes, new.reason) == (Decimal("8.5"), old, "Read from the wrong scale")


def test_nothing_is_kept_when_a_correction_has_no_reason():
    case = taken_in_case(figures=[entry(LIP, "7.5")], shade="Warm")
    (old,) = standing_readings(case)
    with pytest.raises(Refused):
        amend(case, changes={"shade": "Cool"}, corrections=[(old, entry(LIP, "8.5"))])
    case.refresh_from_db()
    assert (case.shade, standing_readings(case)) == ("Warm", [old])


def test_a_prescribed_dimension_takes_the_signature_away_unless_it_is_given_anew():
    case = taken_in_case()
    assert amend(case, prescribed={HEIGHT: Decimal("23")}).signed_at is None
    assert case.state == CaseState.INCOMPLETE
    assert amend(case, prescribed={HEIGHT: Decimal("24")}, sign=True).signed_at == NOW
    assert case.state == CaseState.OPEN
    assert prescribed_for(case, "occlusion_rims") == {"maxillary": {"anterior_height": Decimal("24")}}


def test_a_signature_that_still_holds_is_not_given_twice():
    case = taken_in_case()
    later = NOW + datetime.timedelta(days=1)
    assert amend(case, sign=True, now=later).signed_at == NOW


def test_an_old_page_changes_nothing():
    case = taken_in_case(shade="Warm")
    version = case.version
    amend(case, changes={"shade": "Cool"})
    with pytest.raises(Conflict):
        amend(case, changes={"shade": "Grey"}, figures=[entry(LIP, "7.5")], expected_version=version)
    case.refresh_from_db()
    assert (case.shade, standing_readings(case)) == ("Cool", [])


def test_a_missing_date_that_is_set_completes_the_prescription():
    case = taken_in_case(wanted_in_days=7)
    clinic = ["definitive_impressions", "jaw_relation", "try_in", "insertion"]
    manager = ManagerFactory()
    set_dates(case=case, dates=dict.fromkeys(clinic), by=manager, now=NOW)
    case.refresh_from_db()
    assert case.state == CaseState.INCOMPLETE
    set_dates(case=case, dates={"try_in": NOW.date()}, by=manager, now=NOW)
    case.refresh_from_db()
    assert case.state == CaseState.OPEN
