import pytest

from labcases.cases.actions.importing import note_fault
from labcases.cases.choices import ImportState, LineState
from tests.factories.cases import ImportLineFactory

pytestmark = pytest.mark.django_db


def line_being_taken():
    return ImportLineFactory(
        case_import__state=ImportState.TAKING, case_import__attempt=2, state=LineState.READY
    )


def test_a_row_that_is_not_ready_any_more_says_why():
    line = line_being_taken()
    note_fault(case_import=line.case_import, attempt=2, line=line, words="This practice is closed.")
    line.refresh_from_db()
    assert line.state == LineState.FAULTY
    assert [fault["words"] for fault in line.faults] == ["This practice is closed."]
    line.case_import.refresh_from_db()
    assert line.case_import.beat_at is not None


def test_an_attempt_that_was_overtaken_writes_nothing_more():
    line = line_being_taken()
    note_fault(case_import=line.case_import, attempt=1, line=line, words="This practice is closed.")
    line.refresh_from_db()
    assert (line.state, line.faults) == (LineState.READY, [])
