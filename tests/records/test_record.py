"""A case's whole record: for the laboratory all of it, for the practice what concerns it, on paper and as a file."""

import datetime
import io
import json
import re

import pypdfium2
import pytest
from django.test import Client

from labcases.cases.models import Case, Stage
from labcases.measurements.actions.readings import record_readings
from labcases.records.actions import erase_patient
from tests.cases.walking import current, start
from tests.factories.attachments import AttachmentFactory
from tests.factories.cases import NOW
from tests.factories.measurements import entry
from tests.records.told import CODE, FOUND, closed_case, told_case
from tests.tools.triggers import triggers_down

pytestmark = pytest.mark.django_db
LATE = NOW + datetime.timedelta(days=200)


@pytest.fixture
def case():
    """With a figure that was measured in winter time and entered in summer time."""
    case = told_case()
    by = case.opened_by
    Case.objects.filter(pk=case.pk).update(location="laboratory")
    tray = start(current(case), by)
    record_readings(
        stage=Stage.objects.get(pk=tray.pk),
        entries=[entry("tray_thickness", "2.3", "2.4", "2.5")],
        by=by,
        now=LATE,
        measured_at=NOW,
    )
    AttachmentFactory(case=case, stage=None)
    return Case.objects.get(pk=case.pk)


def asked(case, person, kind=""):
    client = Client()
    client.force_login(person)
    room = "clinic" if person.is_clinician else "office"
    return client.get(f"/{room}/cases/{case.number}/whole-record{kind}")


def as_file(case, person):
    answer = asked(case, person, ".json")
    assert answer.headers["Content-Disposition"] == f'attachment; filename="{case.number}-record.json"'
    return json.loads(answer.content)


def keys_of(value) -> set[str]:
    if isinstance(value, dict):
        return set(value).union(*map(keys_of, value.values()))
    return set().union(*map(keys_of, value)) if isinstance(value, list) else set()


def test_the_file_has_every_row_of_the_case(case):
    record = as_file(case, case.opened_by)
    assert [each["entry"] for each in record["log"]] == list(range(1, case.log_length + 1))
    assert [each["digest"] for each in record["log"]][-1] == record["chain"]["end"] == case.log_digest
    assert sorted(each["reading"] for each in record["readings"]) == sorted(
        case.readings.values_list("pk", flat=True)
    )
    assert len(record["specifications"]) == case.specifications.count()
    assert sum(len(each["lines"]) for each in record["specifications"]) > 20
    assert len(record["stages"]) == case.stages.count()
    counted = ("returns", "disinfections", "prescribed_dimensions", "work_tickets", "files")
    assert [len(record[name]) for name in counted] == [1, 1, 1, 1, 1]
    assert record["prescription"]["patient_code"] == CODE
    assert record["chain"]["holds"] is True


def test_a_figure_entered_late_says_when_it_was_measured_and_when_it_was_entered(case):
    late = as_file(case, case.opened_by)["readings"][-1]
    assert late["measured_at"] == {"utc": "2026-03-02T09:00:00+00:00", "local": "2026-03-02T09:00:00+00:00"}
    assert late["entered_at"] == {"utc": "2026-09-18T09:00:00+00:00", "local": "2026-09-18T10:00:00+01:00"}
    assert (late["entered_late"], late["value"], late["repeats"]) == (True, "2.4", ["2.3", "2.4", "2.5"])
    others = as_file(case, case.opened_by)["readings"][:-1]
    assert not any(each["entered_late"] for each in others)


def test_a_practice_gets_the_record_without_the_laboratorys_own_matters(case):
    record, text = as_file(case, case.prescriber), asked(case, case.prescriber, ".json").text
    assert record["made_for"] == "practice"
    assert {"before", "after", "given_to", "steps", "planned_on"}.isdisjoint(
        set(record["log"][0]) | set(record["stages"][0])
    )
    assert {"Step ticked", "Given to a person", "Work ticket issued"}.isdisjoint(
        e["act"] for e in record["log"]
    )
    step = case.stages.filter(steps__isnull=False).first().steps.first().text
    assert step not in json.dumps(record["stages"])
    assert "Zinnia is content" in text
    assert record["readings"] == as_file(case, case.opened_by)["readings"]


def test_every_key_is_documented_and_nothing_else_is(case, project_root):
    text = (project_root / "docs" / "case-record.md").read_text()
    rows = text[text.index("| --- |") : text.index("`chain` is of")]
    # What a specification was computed from is named by figure; what an entry changed is named by field.
    record = as_file(case, case.opened_by)
    for each in record["specifications"]:
        each["from_figures"] = {}
    for each in record["log"]:
        each["before"] = each["after"] = {}
    assert keys_of(record) - {"utc", "local"} == set(re.findall(r"`([a-z_0-9]+)`", rows)) - {"null"}


def test_the_paper_is_tagged_and_says_the_same(case):
    answer = asked(case, case.opened_by, ".pdf")
    assert answer.headers["Content-Type"] == "application/pdf"
    with pypdfium2.PdfDocument(io.BytesIO(answer.content)) as paper:
        assert paper.is_tagged()
    text = text_of(answer.content)
    for said in (
        case.number,
        CODE,
        FOUND,
        "misread",
        case.log_digest,
        "late:",
        "Mon 2 Mar 2026, 09:00",
        "Fri 18 Sep 2026",
    ):
        assert said in text, said
    assert "is as it was written" in text


def text_of(content: bytes) -> str:
    with pypdfium2.PdfDocument(io.BytesIO(content)) as paper:
        pages = " ".join(page.get_textpage().get_text_bounded() for page in paper)
    return " ".join(pages.replace("\ufffe", "").split())


def test_a_record_that_does_not_hold_says_so(case):
    with triggers_down():
        case.events.filter(position=2).update(reason="Another")
    chain = as_file(case, case.opened_by)["chain"]
    assert chain["holds"] is False
    assert chain["first_broken_link"].startswith("entry 2 (")


def test_the_way_to_the_record_is_two_clicks_from_the_case(case):
    for person, room in ((case.opened_by, "office"), (case.prescriber, "clinic")):
        client = Client()
        client.force_login(person)
        address = f"/{room}/cases/{case.number}/whole-record"
        assert f'href="{address}"' in client.get(f"/{room}/cases/{case.number}").text
        page = client.get(address).text
        assert f'href="{address}.pdf"' in page
        assert f'href="{address}.json"' in page


def test_a_file_takes_as_many_reads_for_many_rows_as_for_few(case, django_assert_num_queries):
    client, address = Client(), f"/office/cases/{case.number}/whole-record.json"
    client.force_login(case.opened_by)
    with django_assert_num_queries(27):
        client.get(address)
    another = entry("tray_thickness", "2.5", arch="mandibular")
    record_readings(stage=current(case), entries=[another], by=case.opened_by, now=LATE)
    with django_assert_num_queries(27):
        assert client.get(address).status_code == 200


# ---- after the time of keeping ----


@pytest.fixture
def old_case():
    return closed_case(on=NOW.replace(year=2010))


def sent(case, **typed):
    client = Client()
    client.force_login(case.opened_by)
    form = {"one_time_key": "key", "version": case.version, "reason": "Kept long enough", "sure": "on"}
    return client.post(f"/office/cases/{case.number}/erase-patient", {**form, **typed}), client


def test_a_manager_finds_what_was_kept_long_enough_and_erases_it(old_case):
    client = Client()
    client.force_login(old_case.opened_by)
    assert old_case.number in client.get("/office/laboratory/retention").text
    assert "Erase the patient’s data …" in asked(old_case, old_case.opened_by).text
    answer, client = sent(old_case)
    assert answer.status_code == 302
    assert "are erased" in client.get(answer.url).text
    assert old_case.number not in client.get("/office/laboratory/retention").text
    assert "Erase the patient’s data …" not in asked(old_case, old_case.opened_by).text
    assert 'name="reason"' not in client.get(f"/office/cases/{old_case.number}/erase-patient").text
    record = as_file(old_case, old_case.opened_by)
    assert record["chain"]["holds"] is True
    assert "zinnia" not in json.dumps(record).lower()
    ticket = old_case.stages.get(tickets__isnull=False).tickets.get()
    paper = client.get(f"/T/{ticket.code}/pdf")
    assert (paper.status_code, "was erased" in paper.text) == (422, True)


def test_what_was_not_meant_is_asked_again(old_case):
    answer, _ = sent(old_case, sure="")
    assert (answer.status_code, "Kept long enough" in answer.text) == (422, True)
    assert sent(old_case, version=1)[0].status_code == 409
    assert Case.objects.get(pk=old_case.pk).patient_code == CODE


def test_a_case_that_is_still_kept_has_no_form(case):
    client = Client()
    client.force_login(case.opened_by)
    assert 'name="reason"' not in client.get(f"/office/cases/{case.number}/erase-patient").text
    answer, _ = sent(case)
    assert (answer.status_code, Case.objects.get(pk=case.pk).patient_code) == (422, CODE)


def test_the_list_takes_as_many_reads_for_three_cases_as_for_one(old_case, django_assert_max_num_queries):
    client = Client()
    client.force_login(old_case.opened_by)
    with django_assert_max_num_queries(12) as one:
        client.get("/office/laboratory/retention")
    for _ in range(2):
        closed_case(on=NOW.replace(year=2010))
    with django_assert_max_num_queries(len(one)):
        assert client.get("/office/laboratory/retention").text.count("case-number") == 3


def test_an_erased_case_can_be_asked_for_as_before(old_case):
    erase_patient(
        case=old_case,
        reason="x",
        by=old_case.opened_by,
        expected_version=old_case.version,
        now=datetime.datetime.now(datetime.UTC),
    )
    for kind in ("", ".json"):
        assert asked(old_case, old_case.prescriber, kind).status_code == 200
