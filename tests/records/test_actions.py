"""Erasing a patient's data after the time of keeping: gone everywhere, and the log still holds."""

import datetime
import io

import pytest

from labcases.attachments.actions.keeping import attach, stored
from labcases.attachments.files import read_content
from labcases.attachments.storage import attachment_storage
from labcases.cases.actions.intake import cancel_case
from labcases.cases.choices import Act, LineState
from labcases.cases.models import Case, ImportLine
from labcases.pages.happenings import happenings
from labcases.people.refusals import Conflict, NotAllowed, Refused
from labcases.records.actions import erase_patient
from labcases.records.checking import check
from labcases.records.queries import cases_kept_long_enough, erased_at, kept_until
from labcases.tickets.models import WorkTicket
from tests.factories.attachments import PICTURE
from tests.factories.cases import NOW, ImportLineFactory, taken_in_case
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory
from tests.factories.tickets import PrintLineFactory
from tests.operation.databases import rows_of
from tests.records.told import CODE, FOUND, NOTES, WISHES, closed_case, told_case
from tests.tools.triggers import triggers_down

pytestmark = pytest.mark.django_db
TEN_YEARS_ON = NOW.replace(year=NOW.year + 10)


def erase(case, by, *, now=TEN_YEARS_ON, reason="The law of 2036", version=None):
    version = case.version if version is None else version
    erase_patient(case=case, reason=reason, by=by, expected_version=version, now=now)
    return Case.objects.get(pk=case.pk)


@pytest.fixture
def case():
    return closed_case()


def test_nothing_says_any_more_who_the_patient_was(case):
    # NOTES, WISHES and FOUND all carry the word.
    assert "Zinnia" in str(rows_of("default"))
    before, entries = check(case), case.events.count()
    erased = erase(case, case.opened_by)
    told = str(rows_of("default"))
    assert "zinnia" not in told.lower()
    assert [text for text in (CODE, NOTES, WISHES, FOUND) if text in told] == []
    assert (erased.patient_code, erased.patient_age, erased.patient_sex) == ("", None, "")
    assert all(bytes(ticket.pdf) == b"" for ticket in WorkTicket.objects.all())
    after = check(case)
    assert (before.broken, after.broken) == ("", "")
    assert (after.entries, after.rows) == (entries + 1, before.rows)


def test_what_was_kept_beside_the_case_goes_too(case):
    said = [CODE, "what a file said of the patient"]
    known = ImportLineFactory(state=LineState.KNOWN, case=case, cells=said)
    of_another = ImportLineFactory(state=LineState.KNOWN, case=taken_in_case(), cells=["P-1"])
    line = PrintLineFactory(stage=case.stages.first(), run__pdf=b"%PDF with its code", run__pages=2)
    erase(case, case.opened_by)
    assert [row.pk for row in ImportLine.objects.all()] == [of_another.pk] != [known.pk]
    line.run.refresh_from_db()
    assert (bytes(line.run.pdf), line.run.pages) == (b"", 0)


def test_the_log_says_who_erased_what_and_why(case):
    salted = case.events.exclude(salt="").count()
    assert salted > 5
    erase(case, case.opened_by)
    event = case.events.get(act=Act.ERASED)
    assert (event.by, event.at, event.reason) == (case.opened_by, TEN_YEARS_ON, "The law of 2036")
    assert event.after == {"entries": salted, "papers": 1}
    assert erased_at(case) == TEN_YEARS_ON
    assert all("erased" not in each.words for each in happenings(case.events.all()))


def test_photographs_go_with_their_bytes_once_it_is_sure(case, django_capture_on_commit_callbacks):
    with stored(read_content(io.BytesIO(PICTURE), size=len(PICTURE))) as file:
        attach(case=case, stage=None, file=file, view="profile", caption="Zinnia", by=case.opened_by, now=NOW)
    storage = attachment_storage()
    with django_capture_on_commit_callbacks(execute=True):
        erase(case, case.opened_by)
        assert storage.exists(file.name)
    assert not any(storage.exists(name) for name in (file.name, file.small_name))
    kept = case.attachments.get()
    assert (bool(kept.file), bool(kept.small), kept.caption, kept.view) == (False, False, "", "profile")
    assert "zinnia" not in str(rows_of("default")).lower()
    assert case.events.get(act=Act.ERASED).after["files"] == 1
    assert check(case).broken == ""


def test_what_was_measured_and_made_stays(case):
    figures = list(case.readings.values_list("value", "reason"))
    lines = case.specifications.count()
    erase(case, case.opened_by)
    assert list(case.readings.values_list("value", "reason")) == figures
    assert case.specifications.count() == lines
    assert Case.objects.get(pk=case.pk).work_description == case.work_description


def test_an_erasure_that_no_entry_tells_of_is_a_broken_link(case):
    erase(case, case.opened_by)
    last = case.events.get(act=Act.ERASED)
    earlier = case.events.get(position=last.position - 1)
    with triggers_down():
        case.events.filter(pk=last.pk)._raw_delete("default")
        Case.objects.filter(pk=case.pk).update(log_length=earlier.position, log_digest=earlier.digest)
    assert check(case).broken == (
        "entry 1 (Case opened) was emptied, and no entry says that the patient's data were erased"
    )


def test_only_a_manager_erases(case):
    for person in (TechnicianFactory(), case.prescriber):
        with pytest.raises(NotAllowed):
            erase(case, person)


def test_a_reason_is_asked(case):
    with pytest.raises(Refused, match="Say why"):
        erase(case, case.opened_by, reason=" ")


def test_who_saw_another_version_is_told_so(case):
    with pytest.raises(Conflict):
        erase(case, case.opened_by, version=case.version - 1)
    assert Case.objects.get(pk=case.pk).patient_code == CODE


def test_a_case_is_kept_to_the_last_day(case):
    with pytest.raises(Refused, match="is kept until 2 March 2036"):
        erase(case, case.opened_by, now=TEN_YEARS_ON - datetime.timedelta(days=1))


def test_a_case_that_is_not_closed_is_never_due():
    case = told_case()
    assert kept_until(case, today=NOW.date()) is None
    with pytest.raises(Refused, match="is not closed"):
        erase(case, case.opened_by)


def test_the_list_of_what_was_kept_long_enough_shortens_with_each_erasure(case):
    manager = case.opened_by
    cancelled, fresh = taken_in_case(by=manager), taken_in_case(by=manager)
    cancel_case(case=cancelled, by=manager, reason="x", expected_version=cancelled.version, now=NOW)
    today = TEN_YEARS_ON.date()

    def due(day=today, user=manager):
        return set(cases_kept_long_enough(user, today=day))

    assert due() == {case, cancelled}
    assert due(today - datetime.timedelta(days=1)) == set()
    assert due(user=ClinicianFactory()) == set()
    assert fresh not in due()
    erase(case, manager)
    assert due() == {cancelled}
    erase(Case.objects.get(pk=cancelled.pk), ManagerFactory())
    assert due() == set()


def test_why_a_case_was_given_up_goes_too():
    case = taken_in_case()
    manager = case.opened_by
    cancel_case(case=case, by=manager, reason="Zinnia died", expected_version=case.version, now=NOW)
    erase(Case.objects.get(pk=case.pk), manager)
    assert "Zinnia" not in str(rows_of("default"))
    assert check(case).is_sound
