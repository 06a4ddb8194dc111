"""Search over an archive: what a text means, one slip forgiven, the newest first, and never more than can be read."""

import datetime

import pytest

from labcases.cases import searching
from labcases.cases.choices import CaseState
from labcases.cases.models import Case
from labcases.cases.queries import find_cases
from labcases.cases.searching import find, slips
from tests.factories.cases import NOW, CaseFactory
from tests.factories.people import ClinicianFactory, ManagerFactory, PracticeFactory

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)


def closed(number="18-00417-6", *, days_ago=0, **values):
    at = NOW - days_ago * DAY
    return CaseFactory(
        number=number,
        opened_at=at,
        state=CaseState.COMPLETE,
        completed_at=at,
        **{"patient_code": "Q-1", **values},
    )


def found(text):
    return list(find(Case.objects.all(), text).newest_first())


@pytest.mark.parametrize("text", ["18-00417-6", "18-00417", "1800417", "18 00417 6", "18-", "180"])
def test_numbers_are_found_from_their_beginning_with_dashes_or_without(text):
    case = closed()
    closed("19-00417-1")
    assert found(text) == [case]


def test_codes_practices_and_prescribers_are_found():
    practice = PracticeFactory(name="Lantern Row", code="LAN")
    prescriber = ClinicianFactory(practice=practice, display_name="Dr Tess Marker")
    case = closed(patient_code="LAN-331", practice=practice, prescriber=prescriber)
    closed("18-00418-4")
    for text in ("lan-3", "LAN-331", "tern row", "lan", "tess mark"):
        assert found(text) == [case], text


@pytest.mark.parametrize("text", ["LNA-331", "LAN-31", "LAN-3331", "LAN-381", "lan331", "AN-331", "LAN-331X"])
def test_a_code_with_one_slip_is_found_where_nothing_fits_better(text):
    # Names without a number, which might by chance be the one that is looked for.
    practice = PracticeFactory(name="Oak Row", code="OAK")
    prescriber = ClinicianFactory(practice=practice, display_name="Dr Tess Marker")
    theirs = {"practice": practice, "prescriber": prescriber}
    case = closed(patient_code="LAN-331", **theirs)
    closed("18-00418-4", patient_code="OAK-552", **theirs)
    assert found(text) == [case]
    closer = closed("18-00419-2", patient_code=text.upper(), **theirs)
    assert found(text) == [closer]


def test_a_practices_own_order_number_is_found_from_its_beginning():
    case = closed(order_number="PO-7741")
    closed("18-00418-4", order_number="")
    assert found("po-77") == found("PO-7741") == [case]


def test_names_with_a_slip_are_found():
    practice = PracticeFactory(name="Lantern Row Surgery")
    prescriber = ClinicianFactory(practice=practice, display_name="Dr Tess Marker")
    case = closed(practice=practice, prescriber=prescriber)
    closed("18-00418-4")
    assert found("Lantren Row") == found("Markre") == [case]


def test_two_slips_are_too_many_and_short_texts_are_taken_as_they_are():
    # Names without a number, which might by chance be the one that is looked for.
    practice = PracticeFactory(name="Oak Row", code="OAK")
    prescriber = ClinicianFactory(practice=practice, display_name="Dr Tess Marker")
    closed(patient_code="LAN-331", practice=practice, prescriber=prescriber)
    assert found("LNA-313") == []
    assert found("LA") == found("Q") == []
    short = closed("18-00418-4", patient_code="LA")
    assert found("LA") == found("la") == [short]


def test_of_too_many_the_newest_are_found(monkeypatch):
    monkeypatch.setattr(searching, "MOST_FOUND", 2)
    cases = [closed(f"18-0{number}-X", days_ago=number, patient_code="SAME-1") for number in range(4)]
    assert found("same") == cases[:2]


def test_a_search_stays_within_what_it_is_asked_of():
    mine = closed(patient_code="SAME-1")
    other = closed("18-00418-4", patient_code="SAME-2")
    clinician = ClinicianFactory(practice=mine.practice)
    assert list(find(Case.objects.visible_to(clinician), "same")) == [mine]
    assert list(find_cases(clinician, today=NOW.date(), state="all", text=other.patient_code)) == [mine]
    assert list(find_cases(clinician, today=NOW.date(), state="open", text="same")) == []
    assert len(find_cases(ManagerFactory(), today=NOW.date(), state="complete", text="same")) == 2


@pytest.mark.parametrize(
    "text", ["%", "_", "18-%", "\\", "'", "\x00", "18\x0000417", "²²²", "x" * 5000, "%_%_%"]
)
def test_odd_characters_are_looked_for_as_they_are(text):
    closed()
    assert found(text) == []


def test_slips_are_those_of_one_hand_movement():
    assert {"BA", "A", "B", "AXB", "XAB", "ABX", "XB", "AX"} <= slips("AB")
    assert not slips("AB") & {"", "XY", "ABXY", "XBAX"}
