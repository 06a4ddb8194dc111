"""Cases from a file: named columns, a check that writes nothing, and each row taken in as any other case."""

import csv
import datetime
import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from labcases.cases.choices import ImportState, LineState
from labcases.cases.models import Case, CaseImport
from labcases.pages.importing import jobs
from labcases.people.refusals import Refused
from tests.factories.people import ClinicianFactory, LaboratoryFactory
from tests.office.desk import as_manager, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db
DAY = (timezone.localdate() + datetime.timedelta(days=30)).strftime("%d.%m.%Y")
HEADINGS = [
    "Practice",
    "Prescriber",
    "Order number",
    "Patient’s code",
    "Wanted for: jaw relation record",
    "Definitive impression",
    "Papilla",
]
MEANINGS = ("", "", "", "", "", "impression_material", "figure_papilla_to_resting_lip")


@pytest.fixture
def dentist():
    LaboratoryFactory()
    return ClinicianFactory(practice__code="ELM", practice__name="Elm Hill", display_name="Dr Ines Marl")


def row(order="A-1", code="E-1", *, practice="elm", day=DAY, material="Alginate", papilla="7,5"):
    return [practice, "Dr Ines Marl", order, code, day, material, papilla]


def as_file(rows, headings=HEADINGS):
    text = io.StringIO()
    csv.writer(text, delimiter=";").writerows([headings, *rows])
    return SimpleUploadedFile("orders.csv", text.getvalue().encode())


def choose(client, rows, headings=HEADINGS):
    answer = post(client, "office:imports", file=as_file(rows, headings))
    assert answer.status_code == 302
    return CaseImport.objects.latest("pk")


def check(client, rows, headings=HEADINGS, capture=None, **said):
    """Choose a file, say what its columns mean as the page guesses it, and let the check run."""
    found = choose(client, rows, headings)
    page = client.get(reverse("office:import_columns", args=[found.pk]))
    boxes = page.context["form"].columns
    meanings = [given or box.value() for box, given in zip(boxes, MEANINGS, strict=False)]
    data = {f"column_{at}": meaning for at, meaning in enumerate(meanings)}
    data |= {"days_as": "day_first", "version": found.version} | said
    with capture(execute=True):
        assert post(client, "office:import_columns", found.pk, **data).status_code == 302
    found.refresh_from_db()
    return found


def accept(client, found, capture, **given):
    data = {"version": found.version, "how": "all"} | given
    with capture(execute=True):
        answer = post(client, "office:import_accept", found.pk, **data)
    found.refresh_from_db()
    return answer


def states(found):
    return [line.state for line in found.lines.order_by("position")]


def faults(found, position):
    return [
        (each["heading"], each["value"], each["words"]) for each in found.lines.get(position=position).faults
    ]


@pytest.mark.parametrize("name", ["imports"])
def test_only_managers_take_in_files(client, name):
    assert refused_to_everybody_else(client, f"office:{name}")


def test_a_file_becomes_cases_once_it_is_accepted(client, dentist, django_capture_on_commit_callbacks):
    manager = as_manager(client)
    capture = django_capture_on_commit_callbacks
    found = check(client, [row(), row("A-2", "=E-2", papilla="")], capture=capture)
    assert (found.state, states(found)) == (ImportState.CHECKED, [LineState.READY] * 2)
    assert not Case.objects.exists()
    assert accept(client, found, capture, signed="on").status_code == 302
    assert (found.state, found.failure, states(found)) == (ImportState.DONE, "", [LineState.TAKEN] * 2)
    first, second = Case.objects.order_by("order_number")
    assert (first.practice, first.prescriber, first.signed_by) == (dentist.practice, dentist, manager)
    assert (first.impression_material, second.patient_code) == ("alginate", "=E-2")
    assert str(first.readings.get().value.normalize()) == "7.5"
    assert first.stages.get(kind="jaw_relation").due_on.strftime("%d.%m.%Y") == DAY
    assert first.events.filter(act="opened").exists()
    content = client.get(reverse("office:import", args=[found.pk])).content.decode()
    assert reverse("office:case", args=[first.number]) in content


def test_the_check_names_row_column_cell_and_what_is_allowed(
    client, dentist, django_capture_on_commit_callbacks
):
    as_manager(client)
    rows = [
        row(),
        row("A-2", day="31.02.2027", material="chewing gum"),
        row("A-3", practice="Nowhere"),
        row("A-1"),
        row("A-5", papilla="seven"),
        row("A-6", papilla="14"),
        row("A-7", "x" * 30),
    ]
    found = check(client, rows, capture=django_capture_on_commit_callbacks)
    ready, faulty = LineState.READY, LineState.FAULTY
    assert states(found) == [ready, faulty, faulty, faulty, faulty, LineState.UNUSUAL, faulty]
    day, material = faults(found, 3)
    assert day == (
        HEADINGS[4],
        "31.02.2027",
        "Not read as a day; allowed: 2026-11-30, 30.11.2026, 30/11/2026.",
    )
    assert material[:2] == (HEADINGS[5], "chewing gum")
    assert "Alginate" in material[2]
    assert faults(found, 4)[0] == ("Practice", "Nowhere", "Allowed: ELM, or their names.")
    assert faults(found, 5) == [("Order number", "A-1", "Row 2 of this file has the same order number.")]
    ((heading, value, words),) = faults(found, 6)
    assert (heading, value) == ("Papilla", "seven")
    assert "is not taken; allowed" in words
    assert "usually" in faults(found, 7)[0][2]
    content = client.get(reverse("office:import", args=[found.pk])).content.decode()
    assert "chewing gum" in content
    assert "Take in all of them or none" not in content
    left = client.get(reverse("office:import_rest", args=[found.pk])).content.decode("utf-8-sig")
    assert [line["Order number"] for line in csv.DictReader(io.StringIO(left, newline=""))][:2] == [
        "A-1",
        "A-2",
    ]
    assert not Case.objects.exists()


def test_faulty_rows_are_left_out_by_choice_and_unusual_ones_only_with_a_second_look(
    client, dentist, django_capture_on_commit_callbacks
):
    as_manager(client)
    capture = django_capture_on_commit_callbacks
    rows = [row("A-1"), row("A-2", papilla="14"), row("A-3", practice="Nowhere")]
    found = check(client, rows, capture=capture)
    refused = accept(client, found, capture)
    assert refused.status_code == 422
    assert "Not every row can be taken in" in refused.content.decode()
    accept(client, found, capture, how="each", with_unusual="on")
    assert states(found) == [LineState.TAKEN, LineState.TAKEN, LineState.FAULTY]
    assert Case.objects.count() == 2


def test_the_same_file_again_is_recognised_by_its_order_numbers(
    client, dentist, django_capture_on_commit_callbacks
):
    as_manager(client)
    capture = django_capture_on_commit_callbacks
    accept(client, check(client, [row("A-1")], capture=capture), capture)
    again = check(client, [row("A-1")], capture=capture)
    assert states(again) == [LineState.KNOWN]
    content = client.get(reverse("office:import", args=[again.pk])).content.decode()
    assert "The same file was here before" in content
    assert Case.objects.get().number in content
    more = check(client, [row("A-1"), row("A-2")], capture=capture)
    accept(client, more, capture)
    assert states(more) == [LineState.KNOWN, LineState.TAKEN]
    assert Case.objects.count() == 2


def test_without_order_numbers_the_same_file_is_taken_in_again_only_when_that_is_ticked(
    client, dentist, django_capture_on_commit_callbacks
):
    as_manager(client)
    capture = django_capture_on_commit_callbacks
    headings, rows = ["Patient’s code"], [["E-1"], ["E-2"]]
    said = {"column_0": "patient_code", "practice": dentist.practice_id}
    accept(client, check(client, rows, headings, capture, **said), capture)
    again = check(client, rows, headings, capture, **said)
    refused = accept(client, again, capture)
    assert refused.status_code == 422
    assert "shall be taken in a second time" in refused.content.decode()
    accept(client, again, capture, again="on")
    assert (again.state, again.failure) == (ImportState.DONE, "")
    assert Case.objects.count() == 4


def test_all_of_them_or_none(client, dentist, django_capture_on_commit_callbacks, monkeypatch):
    as_manager(client)
    capture = django_capture_on_commit_callbacks
    found = check(client, [row("A-1"), row("A-2")], capture=capture)
    real, seen = jobs._take_one, []

    def fails_second(found, attempt, judge, line):
        seen.append(line)
        if len(seen) == 2:
            raise Refused("The practice has closed.")
        real(found, attempt, judge, line)

    monkeypatch.setattr(jobs, "_take_one", fails_second)
    accept(client, found, capture)
    assert (found.state, states(found)) == (ImportState.CHECKED, [LineState.READY] * 2)
    assert found.failure == "Row 3: The practice has closed. Nothing was taken in."
    assert not Case.objects.exists()
    assert "The practice has closed" in client.get(reverse("office:import", args=[found.pk])).content.decode()
    monkeypatch.setattr(jobs, "_take_one", real)
    accept(client, found, capture)
    assert states(found) == [LineState.TAKEN] * 2


def test_an_attempt_that_died_is_taken_up_where_it_ended_and_cannot_write_over_its_successor(
    client, dentist, django_capture_on_commit_callbacks
):
    as_manager(client)
    capture = django_capture_on_commit_callbacks
    found = check(client, [row("A-1"), row("A-2"), row("A-3")], capture=capture)
    post(client, "office:import_accept", found.pk, version=found.version, how="each")
    found.refresh_from_db()
    assert found.state == ImportState.TAKING
    first = found.attempt
    jobs._take_one(found, first, jobs._judge_for(found), found.lines.get(position=2))
    assert post(client, "office:import_again", found.pk).status_code == 422
    CaseImport.objects.update(beat_at=timezone.now() - datetime.timedelta(minutes=5))
    shown = client.get(reverse("office:import", args=[found.pk])).content.decode()
    assert "No background worker answers" in shown
    with capture(execute=True):
        post(client, "office:import_again", found.pk)
    found.refresh_from_db()
    assert (found.state, states(found)) == (ImportState.DONE, [LineState.TAKEN] * 3)
    assert Case.objects.count() == 3
    assert jobs.take_import.func(pk=found.pk, attempt=first).startswith("not taken up")


def test_what_the_columns_meant_is_remembered(client, dentist, django_capture_on_commit_callbacks):
    as_manager(client)
    check(client, [row()], capture=django_capture_on_commit_callbacks)
    headings = [HEADINGS[6].upper(), HEADINGS[0], "Something else"]
    found = choose(client, [["7,5", "ELM", "x"]], headings)
    form = client.get(reverse("office:import_columns", args=[found.pk])).context["form"]
    assert [box.value() for box in form.columns] == ["figure_papilla_to_resting_lip", "practice", ""]


def test_columns_that_leave_something_open_are_asked_again(client, dentist):
    as_manager(client)
    found = choose(client, [["E-1", "E-2"]], ["Code", "Other code"])
    data = {"version": found.version, "days_as": "day_first"}
    twice = {"column_0": "patient_code", "column_1": "patient_code"}
    answer = post(client, "office:import_columns", found.pk, **data, **twice)
    assert answer.status_code == 422
    content = answer.content.decode()
    assert "fills this box already" in content
    assert "Choose the practice, or say which column names it" in content


def test_a_check_that_breaks_says_why_and_loses_nothing(
    client, dentist, django_capture_on_commit_callbacks, monkeypatch
):
    as_manager(client)

    def broken(*args, **kwargs):
        raise RuntimeError("the disk is gone")

    monkeypatch.setattr(jobs, "Judge", broken)
    found = check(client, [row()], capture=django_capture_on_commit_callbacks)
    assert (found.state, found.failure) == (ImportState.MAPPING, "RuntimeError: the disk is gone")
    assert found.lines.count() == 1
    assert (
        "the disk is gone" in client.get(reverse("office:import_columns", args=[found.pk])).content.decode()
    )


def test_much_is_left_to_the_worker_and_a_page_shows_how_far_it_is(client, dentist, monkeypatch):
    as_manager(client)
    monkeypatch.setattr(jobs, "DONE_AT_ONCE", {ImportState.CHECKING: 0, ImportState.TAKING: 0})
    started = []
    monkeypatch.setattr(jobs.transaction, "on_commit", started.append)
    found = choose(client, [row()])
    data = {f"column_{at}": "" for at in range(7)} | {"practice": dentist.practice_id, "days_as": "day_first"}
    post(client, "office:import_columns", found.pk, version=found.version, **data)
    (start,) = started
    assert start.func == jobs.check_import.enqueue
    url = reverse("office:import", args=[found.pk])
    part = client.get(url, headers={"HX-Request": "true"})
    assert "Being checked: 0 of 1 rows" in part.content.decode()
    assert "HX-Refresh" not in part
    jobs.check_import.func(**start.keywords)
    assert client.get(url, headers={"HX-Request": "true"})["HX-Refresh"] == "true"


def test_a_file_is_dropped_and_of_one_taken_in_only_the_rows_left(
    client, dentist, django_capture_on_commit_callbacks
):
    as_manager(client)
    capture = django_capture_on_commit_callbacks
    found = choose(client, [row()])
    assert post(client, "office:import_drop", found.pk, version=found.version).status_code == 302
    assert not CaseImport.objects.exists()
    kept = check(client, [row(), row("A-2", practice="Nowhere")], capture=capture)
    accept(client, kept, capture, how="each")
    taken = kept.lines.get(state=LineState.TAKEN)
    # What names the patient stands with the case alone.
    assert taken.cells == []
    assert post(client, "office:import_drop", kept.pk, version=1).status_code == 409
    post(client, "office:import_drop", kept.pk, version=kept.version)
    assert list(kept.lines.all()) == [taken]


def test_columns_can_be_looked_at_after_rows_were_taken_in(
    client, dentist, django_capture_on_commit_callbacks
):
    as_manager(client)
    capture = django_capture_on_commit_callbacks
    found = check(client, [row(), row("A-2", "E-2", material="Toffee")], capture=capture)
    accept(client, found, capture, how="each")
    found.refresh_from_db()
    answer = client.get(reverse("office:import_columns", args=[found.pk]))
    assert answer.status_code == 200
    assert "The columns are named" in answer.content.decode()


def test_a_file_that_is_no_table_is_refused_on_its_page(client):
    as_manager(client)
    answer = post(client, "office:imports", file=SimpleUploadedFile("x.csv", b"only headings"))
    assert answer.status_code == 422
    assert "no row below its headings" in answer.content.decode()
    assert post(client, "office:imports").status_code == 422


def test_the_pages_cost_as_many_queries_for_many_rows_as_for_one(
    client, dentist, django_assert_max_num_queries, django_capture_on_commit_callbacks
):
    as_manager(client)
    rows = [row(f"A-{n}", practice="Nowhere") for n in range(12)]
    found = check(client, rows, capture=django_capture_on_commit_callbacks)
    for name in ("import", "import_columns"):
        with django_assert_max_num_queries(12):
            client.get(reverse(f"office:{name}", args=[found.pk]))
    with django_assert_max_num_queries(5):
        client.get(reverse("office:imports"))
