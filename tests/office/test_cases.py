import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.cases.actions.intake import change_prescription
from labcases.cases.numbers import case_number
from labcases.pages.case_columns import USUAL
from tests.factories.people import TechnicianFactory
from tests.office.desk import as_manager, case_now, post, receive, refused_to_everybody_else, work_through

pytestmark = pytest.mark.django_db
URL = reverse("office:cases")


def listed(client, **filters):
    response = client.get(URL, filters)
    assert response.status_code == 200
    return [case.number for case in response.context["page"]]


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:cases")


def test_open_cases_are_listed_by_the_day_they_are_due(client):
    as_manager(client)
    later, sooner = case_now(wanted_in_days=20), case_now(wanted_in_days=5)
    assert listed(client) == [sooner.number, later.number]


@pytest.mark.parametrize("text", ["number", "bare number", "code", "practice"])
def test_a_case_is_found_by_number_code_and_practice(client, text):
    as_manager(client)
    wanted, _ = case_now(patient_code="ZZ-1"), case_now(patient_code="AA-1")
    typed = {
        "number": wanted.number[:8],
        "bare number": wanted.number.replace("-", ""),
        "code": "zz",
        "practice": wanted.practice.name,
    }[text]
    assert listed(client, q=typed) == [wanted.number]


def test_filters_stand_in_the_address_and_in_the_boxes(client):
    manager = as_manager(client)
    here, away = case_now(), case_now()
    receive(here, manager)
    assert listed(client, where="laboratory") == [here.number]
    assert listed(client, practice=away.practice_id) == [away.number]
    response = client.get(URL, {"where": "laboratory", "person": "nobody", "late": "on"})
    assert '<option value="laboratory" selected>' in response.content.decode()
    assert '<option value="nobody" selected>' in response.content.decode()


def test_closed_cases_show_only_when_they_are_asked_for(client):
    as_manager(client)
    case = case_now()
    post(client, "office:cancel", case.number, version=case.version, reason="Sent by mistake")
    assert listed(client) == []
    assert listed(client, state="cancelled") == listed(client, state="all") == [case.number]


def test_a_filter_that_is_none_filters_nothing(client):
    as_manager(client)
    case = case_now()
    assert listed(client, state="broken", practice="x", person="9999999", stage="nothing") == [case.number]


def test_a_mistyped_number_is_called_so(client):
    as_manager(client)
    number = case_number(2026, 417)
    wrong = number[:-1] + ("A" if number[-1] != "A" else "B")
    content = client.get(URL, {"q": wrong}).content.decode()
    assert "does not fit the digits before it" in content
    assert "does not fit" not in client.get(URL, {"q": number}).content.decode()


def test_an_empty_list_says_what_to_do(client):
    as_manager(client)
    assert reverse("office:new_case") in client.get(URL).content.decode()
    assert "No case fits" in client.get(URL, {"q": "nothing like it"}).content.decode()


def test_only_open_cases_can_be_ticked(client):
    manager = as_manager(client)
    case = case_now()
    receive(case, manager)
    case.refresh_from_db()
    stage = case.current_stage
    assert (
        f'name="stage" value="{stage.pk}-{stage.version}-{case.version}"' in client.get(URL).content.decode()
    )
    post(client, "office:cancel", case.number, version=case.version, reason="Sent by mistake")
    assert 'name="stage" value="' not in client.get(URL, {"state": "all"}).content.decode()


def test_long_lists_are_paged_and_keep_their_filters(client, monkeypatch):
    monkeypatch.setattr("labcases.office.views.cases.PAGE_SIZE", 2)
    as_manager(client)
    for _ in range(3):
        case_now(patient_code="ZZ-9")
    content = client.get(URL, {"q": "ZZ"}).content.decode()
    assert "Page 1 of 2" in content
    assert "q=ZZ&amp;page=2" in content
    assert len(listed(client, q="ZZ", page=2)) == 1


def test_the_fragment_is_the_list_alone(client):
    as_manager(client)
    case_now()
    whole = client.get(URL)
    part = client.get(URL, headers={"HX-Request": "true"})
    boosted = client.get(URL, headers={"HX-Request": "true", "HX-Boosted": "true"})
    assert part.content.decode().lstrip().startswith('<div id="cases">')
    assert "<html" in whole.content.decode()
    assert "<html" in boosted.content.decode()


def test_a_change_under_way_shows_as_not_signed(client):
    manager = as_manager(client)
    case = case_now()
    work_through(case, "master_cast", manager)
    case.refresh_from_db()
    assert "Not signed since a change" not in client.get(URL).content.decode()
    change_prescription(
        case=case, changes={"shade": "Cool"}, by=manager, expected_version=case.version, now=timezone.now()
    )
    assert "Not signed since a change" in client.get(URL).content.decode()


def test_the_columns_are_each_persons_own(client):
    as_manager(client)
    case_now()
    back = f"{URL}?q=P-&view=3"
    answer = post(client, "office:columns", column=["kind", "due"], back=back)
    assert answer["Location"] == f"{URL}?q=P-"
    assert [column.name for column in client.get(URL).context["columns"]] == ["kind", "due"]
    assert "Complete denture" in client.get(URL).content.decode()
    as_manager(client)
    assert [column.name for column in client.get(URL).context["columns"]] == list(USUAL)
    assert post(client, "office:columns", column=["password"]).status_code == 422
    post(client, "office:columns")
    assert [column.name for column in client.get(URL).context["columns"]] == list(USUAL)


def test_the_number_of_queries_does_not_grow_with_the_cases(client, django_assert_num_queries):
    as_manager(client)
    TechnicianFactory()
    case_now()
    with django_assert_num_queries(8):
        client.get(URL)
    case_now()
    case_now()
    with django_assert_num_queries(8):
        client.get(URL)


def test_the_way_back_does_not_lead_to_the_list_that_is_shown(client):
    """Enter in a box is a change and a sending: the second asks for what the first brought."""
    as_manager(client)
    address = f"{reverse('office:cases')}?q=zz"
    pushed = [
        client.get(
            address, headers={"HX-Request": "true", "HX-Current-URL": f"http://testserver{here}"}
        ).headers
        for here in (reverse("office:cases"), address)
    ]
    assert [headers.get("HX-Push-Url") for headers in pushed] == [None, "false"]
