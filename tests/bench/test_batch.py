"""Several tickets scanned into a list, and one act for all of them."""

import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.cases.actions.moves import start_stage
from labcases.cases.models import Case
from tests.bench.benchwork import coming_case, form, seen, stage_at_work, text, waiting_stage
from tests.factories.people import TechnicianFactory
from tests.factories.tickets import WorkTicketFactory

pytestmark = pytest.mark.django_db
LIST, DO = "/bench/batch", "/bench/batch/do"


@pytest.fixture
def technician(client):
    user = TechnicianFactory()
    client.force_login(user)
    return user


def scan(client, *codes, **headers):
    for code in codes:
        answer = client.post(LIST, {"code": code}, headers=headers)
    return answer


def lines(client, act):
    page = client.get(f"{DO}?act={act}")
    return [row.line for row in page.context["will"]]


def do(client, act, seen_lines=None, **more):
    sent = form(act=act, line=lines(client, act) if seen_lines is None else seen_lines, **more)
    return client.post(DO, sent)


def test_tickets_and_numbers_are_scanned_into_one_list(client, technician):
    first, second = waiting_stage(), coming_case()
    ticket = WorkTicketFactory(stage=first)
    scan(client, ticket.code.lower(), second.number, ticket.code)
    page = client.get(LIST)
    assert [row.case.number for row in page.context["rows"]] == [first.case.number, second.number]
    assert "Start 1" in text(page)
    assert "Receive 1" in text(page)


def test_a_scan_is_answered_with_the_list_alone(client, technician):
    answer = scan(client, coming_case().number, **{"HX-Request": "true"})
    assert answer.status_code == 200
    assert answer.text.startswith('<div id="batch">')


@pytest.mark.parametrize(
    ("code", "words"), [("26-00001-A", "not"), ("ABCD" * 6 + "AB", "no ticket"), ("?", "")]
)
def test_what_leads_nowhere_is_said_and_the_list_stays(client, technician, code, words):
    case = coming_case()
    scan(client, case.number)
    answer = scan(client, code)
    assert answer.status_code == 422
    assert "Nothing was added." in text(answer)
    assert words in answer.context["words"]
    assert case.number in text(answer)


def test_a_paper_of_another_stage_is_pointed_out(client, technician):
    stage = waiting_stage()
    ticket = WorkTicketFactory(stage=stage.case.stages.get(kind="tooth_arrangement"))
    scan(client, ticket.code)
    assert "The paper is of tooth arrangement." in text(client.get(LIST))


def test_lines_are_taken_off_one_by_one_and_all_at_once(client, technician):
    cases = [coming_case() for _ in range(3)]
    scan(client, *(case.number for case in cases))
    client.post(LIST, {"remove": cases[1].number})
    assert [row.case for row in client.get(LIST).context["rows"]] == [cases[2], cases[0]]
    client.post(LIST, {"empty": "1"})
    assert "Nothing scanned yet" in text(client.get(LIST))


def test_the_preview_names_what_is_left_as_it_is(client, technician):
    start_it, at_work = waiting_stage(), stage_at_work(by=technician)
    scan(client, start_it.case.number, at_work.case.number)
    page = text(client.get(f"{DO}?act=start"))
    assert "Start 1 case" in page
    assert "Left as they are 1" in page
    assert "finish it on its own sheet" in page
    assert seen(start_it).state == "waiting"


def test_one_tap_starts_all_of_them(client, technician):
    stages = [waiting_stage() for _ in range(3)]
    scan(client, *(stage.case.number for stage in stages))
    answer = do(client, "start")
    assert answer.url == reverse("bench:work")
    assert [seen(stage).state for stage in stages] == ["in_progress"] * 3
    assert "3 cases are started." in text(client.get(answer.url))
    assert "Nothing scanned yet" in text(client.get(LIST))


def test_what_failed_is_named_and_stays_on_the_list(client, technician):
    quick, rest = waiting_stage(), waiting_stage()
    scan(client, quick.case.number, rest.case.number)
    shown = lines(client, "start")
    start_stage(stage=quick, by=TechnicianFactory(), expected_version=quick.version, now=timezone.now())
    answer = do(client, "start", shown)
    assert answer.url == LIST
    page = client.get(LIST)
    assert "1 case is started." in text(page)
    assert f"{quick.case.number} was left as it is." in text(page)
    assert [row.case for row in page.context["rows"]] == [quick.case]
    assert seen(rest).state == "in_progress"


def test_many_are_received_with_one_disinfection(client, technician):
    cases = [coming_case() for _ in range(2)]
    scan(client, *(case.number for case in cases))
    shown = lines(client, "receive")
    refused = do(client, "receive", shown, agent="Label A", minutes_required="10", minutes="5")
    assert refused.status_code == 422
    assert "shorter than the 10 minutes" in text(refused)
    do(client, "receive", shown, agent="Label A", minutes_required="10", minutes="12")
    for case in cases:
        assert Case.objects.get(pk=case.pk).location == "laboratory"
        assert case.disinfections.get().minutes == 12


def test_sent_twice_it_is_done_once(client, technician):
    stage = waiting_stage()
    scan(client, stage.case.number)
    sent = form(act="start", line=lines(client, "start"))
    assert client.post(DO, sent).url == client.post(DO, sent).url
    assert stage.events.filter(act="started").count() == 1


@pytest.mark.parametrize("line", ["", "x", "26-00001-A:1", "26-00001-A:x:1", "26-00001-A:1:²", ":::"])
def test_a_line_that_is_none_does_nothing(client, technician, line):
    answer = do(client, "start", [line])
    assert "Nothing was ticked" in text(client.get(answer.url))


def test_an_act_that_is_none_leads_back(client, technician):
    assert client.get(f"{DO}?act=cancel").url == LIST


def test_the_list_asks_as_often_for_three_cases_as_for_one(client, technician, django_assert_num_queries):
    counts = []
    for _ in range(2):
        scan(client, waiting_stage().case.number)
        scan(client, stage_at_work(by=technician, kind="processing").case.number)
        for address in (LIST, f"{DO}?act=start"):
            with django_assert_num_queries(3):
                client.get(address)
        counts.append(len(client.get(LIST).context["rows"]))
    assert counts == [2, 4]
