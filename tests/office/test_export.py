import csv
import io

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from tests.factories.people import SavedViewFactory
from tests.office.desk import as_manager, case_now, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db
CSV = reverse("office:export", args=["csv"])
XLSX = reverse("office:export", args=["xlsx"])


def lines(client, **filters):
    text = client.get(CSV, filters).content.decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_only_managers_take_the_list_away(client):
    assert refused_to_everybody_else(client, "office:export", "csv")


def test_the_file_has_just_the_cases_and_columns_of_the_list(client):
    as_manager(client)
    case_now(patient_code="=cmd()"), case_now(patient_code="AA-1")
    post(client, "office:columns", column=["practice", "age", "due"])
    shown = client.get(reverse("office:cases"), {"q": "=cmd"})
    (case,) = shown.context["page"]
    (line,) = lines(client, q="=cmd")
    assert line == {
        "Case": case.number,
        "Patient’s code": "'=cmd()",
        "Practice": case.practice.name,
        "Age in years": "71",
        "Due": case.current_stage.due_on.isoformat(),
    }
    assert f"{CSV}?q=%3Dcmd" in shown.content.decode()


def test_the_workbook_says_the_same(client):
    as_manager(client)
    case = case_now()
    answer = client.get(XLSX)
    assert answer["Content-Disposition"].endswith('.xlsx"')
    header, row = load_workbook(io.BytesIO(answer.content)).active.iter_rows(values_only=True)
    told = dict(zip(header, row, strict=True))
    case.refresh_from_db()
    assert told["Case"] == case.number
    assert told["Stage"] == "Custom tray"
    assert told["State"] == "Waiting"
    assert told["Due"].date() == case.current_stage.due_on


def test_a_saved_view_brings_its_own_columns(client):
    manager = as_manager(client)
    case_now()
    view = SavedViewFactory(owner=manager, filters={}, columns=["kind"])
    assert list(lines(client, view=view.pk)[0]) == ["Case", "Patient’s code", "Kind of work"]


def test_a_list_too_long_for_a_file_says_so(client, monkeypatch):
    monkeypatch.setattr("labcases.office.views.cases.MOST_IN_A_FILE", 1)
    as_manager(client)
    case_now(), case_now()
    answer = client.get(CSV)
    assert answer.status_code == 422
    assert "Narrow the list first" in answer.content.decode()


def test_there_is_no_other_kind_of_file(client):
    as_manager(client)
    assert client.get(reverse("office:export", args=["exe"])).status_code == 404
