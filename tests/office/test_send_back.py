import re

import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.cases.actions.crossings import hand_to_clinic
from labcases.cases.choices import ReturnCause, StageKind, StageState
from tests.office.desk import as_manager, case_now, post, refused_to_everybody_else, work_through

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager(client):
    return as_manager(client)


def at_try_in(manager):
    case = case_now()
    stage = work_through(case, StageKind.TRY_IN, manager)
    hand_to_clinic(case=case, by=manager, now=timezone.now())
    return case, stage


def asked(case, stage, **changes):
    to = case.stages.get(kind=StageKind.TOOTH_ARRANGEMENT)
    return {
        "to": to.pk,
        "cause": "appearance",
        "note": "",
        "stage": stage.pk,
        "version": stage.version,
        **changes,
    }


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:send_back", case_now().number)


def test_the_stages_to_be_done_again_become_the_next_visit(client, manager):
    case, stage = at_try_in(manager)
    post(client, "office:send_back", case.number, **asked(case, stage))
    case.refresh_from_db()
    again = case.stages.filter(visit=2).order_by("position")
    assert [each.kind for each in again] == [StageKind.TOOTH_ARRANGEMENT, StageKind.TRY_IN]
    assert case.current_stage == again[0]
    assert case.stages.get(pk=stage.pk).state == StageState.RETURNED


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"cause": ""}, "required"),
        ({"cause": "nonsense"}, "valid choice"),
        ({"cause": "other"}, "Say why the work comes back"),
        ({"to": "0"}, "valid choice"),
    ],
)
def test_a_return_without_place_or_cause_is_refused(client, manager, changes, words):
    case, stage = at_try_in(manager)
    response = post(client, "office:send_back", case.number, **asked(case, stage, **changes))
    assert response.status_code == 422
    assert words in response.content.decode()
    assert not case.returns.exists()


def test_an_old_page_is_a_conflict(client, manager):
    case, stage = at_try_in(manager)
    response = post(client, "office:send_back", case.number, **asked(case, stage, version=stage.version + 1))
    assert response.status_code == 409
    assert not case.returns.exists()


def test_the_conflict_page_lists_what_was_typed_in_the_words_of_the_form(client, manager):
    case, stage = at_try_in(manager)
    sent = asked(case, stage, version=stage.version + 1, note="Two teeth too far left")
    content = post(client, "office:send_back", case.number, **sent).content.decode()
    listed = dict(re.findall(r"<dt>(.*?)</dt><dd>(.*?)</dd>", content.partition('id="typed"')[2]))
    assert listed == {
        "Back to": case.stages.get(pk=sent["to"]).label,
        "Cause": str(ReturnCause.APPEARANCE.label),
        "What the next person needs to know": "Two teeth too far left",
    }


def test_a_case_with_nothing_to_go_back_to_says_so(client, manager):
    case = case_now()
    content = client.get(reverse("office:send_back", args=[case.number])).content.decode()
    assert "There is nothing to go back to" in content
    assert (
        post(
            client,
            "office:send_back",
            case.number,
            stage=case.current_stage_id,
            to="1",
            cause="late",
            version=1,
        ).status_code
        == 422
    )
    assert not case.returns.exists()


def test_a_page_of_the_stage_before_is_a_conflict_though_both_have_the_same_version(client, manager):
    case, stage = at_try_in(manager)
    sent = asked(case, stage)
    post(client, "office:send_back", case.number, **sent)
    case.refresh_from_db()
    now_at = case.current_stage
    to = case.stages.get(kind=StageKind.OCCLUSION_RIMS)
    old = {**sent, "to": to.pk, "version": now_at.version}
    assert post(client, "office:send_back", case.number, **old).status_code == 409
    assert case.returns.count() == 1
