import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.cases.choices import StageKind
from labcases.planning.actions.proposing import propose
from labcases.planning.choices import LineState, ProposalState
from labcases.planning.models import CaseWeight, Proposal
from tests.factories.people import ManagerFactory, TechnicianFactory
from tests.office.desk import as_manager, post
from tests.office.test_plan import arrangement
from tests.planning.laboratory import skilled, stage

pytestmark = pytest.mark.django_db


@pytest.fixture
def crowded():
    """One person and six arrangements wanted within two days: more work than time."""
    skilled("arrangement", display_name="Ada Bench")
    return [arrangement(wanted_in=2) for _ in range(6)]


@pytest.fixture
def proposed(crowded):
    return propose(by=ManagerFactory(), now=timezone.now())


def shown(client, proposal):
    return client.get(reverse("office:proposal", args=[proposal.pk]))


def test_asking_for_a_plan_leads_to_it(client, crowded):
    as_manager(client)
    answer = post(client, "office:propose")
    proposal = Proposal.objects.get()
    assert answer.url == reverse("office:proposal", args=[proposal.pk])
    text = client.get(answer.url).content.decode()
    assert "Ada Bench" in text
    assert "More work than time" in text
    assert "Waits " in text


def test_asking_twice_with_one_form_proposes_once(client, crowded):
    as_manager(client)
    for _ in range(2):
        post(client, "office:propose", key="the same")
    assert Proposal.objects.count() == 1


def test_a_laboratory_without_work_is_told_so(client):
    as_manager(client)
    answer = post(client, "office:propose")
    assert answer.status_code == 422
    assert "no open laboratory work" in answer.content.decode()


def test_a_plan_is_accepted_whole(client, crowded, proposed):
    as_manager(client)
    answer = post(client, "office:proposal_accept", proposed.pk, which="all")
    assert answer.url == reverse("office:plan")
    assert all(stage(case, StageKind.TOOTH_ARRANGEMENT).assignee for case in crowded)
    assert b"given out as proposed" in client.get(answer.url).content


def test_only_ticked_lines_are_accepted(client, crowded, proposed):
    as_manager(client)
    one, other, *_ = proposed.lines.all()
    post(
        client,
        "office:proposal_accept",
        proposed.pk,
        which="ticked",
        line=[one.pk, other.pk, "x", "-1", "9" * 30],
    )
    assert proposed.lines.filter(state=LineState.ACCEPTED).count() == 2
    nothing = post(client, "office:proposal_accept", proposed.pk, which="ticked")
    assert nothing.status_code == 422


def test_a_plan_is_declined(client, proposed):
    as_manager(client)
    post(client, "office:proposal_decline", proposed.pk)
    proposed.refresh_from_db()
    assert proposed.state == ProposalState.DECIDED
    assert "Accept all" not in shown(client, proposed).content.decode()
    assert post(client, "office:proposal_accept", proposed.pk, which="all").status_code == 409


def test_the_progress_is_a_fragment_that_reloads_the_page_at_the_end(client, proposed):
    as_manager(client)
    url, fragment = reverse("office:proposal", args=[proposed.pk]), {"HX-Request": "true"}
    running = client.get(url, headers=fragment)
    assert running.content.decode().lstrip().startswith('<div id="progress"')
    assert "hx-trigger" in running.content.decode()
    assert "HX-Refresh" not in running.headers
    post(client, "office:proposal_stop", proposed.pk)
    ended = client.get(url, headers=fragment)
    assert ended.headers["HX-Refresh"] == "true"
    assert "hx-trigger" not in ended.content.decode()


def test_a_worker_that_does_not_answer_is_seen_and_can_be_tried_again(client, proposed):
    as_manager(client)
    assert post(client, "office:proposal_again", proposed.pk).status_code == 409
    Proposal.objects.filter(pk=proposed.pk).update(asked_at=timezone.now() - datetime.timedelta(minutes=5))
    text = shown(client, proposed).content.decode()
    assert "No background worker answers" in text
    assert "Try again" in text
    assert post(client, "office:proposal_again", proposed.pk).status_code == 302
    proposed.refresh_from_db()
    assert (proposed.attempt, proposed.state) == (2, ProposalState.QUEUED)


def test_a_failure_is_shown(client, proposed):
    as_manager(client)
    Proposal.objects.filter(pk=proposed.pk).update(
        state=ProposalState.FAILED, failure="MemoryError: none left"
    )
    text = shown(client, proposed).content.decode()
    assert "MemoryError: none left" in text
    assert "Accept all" in text


def test_a_case_is_weighed_for_the_next_proposal(client, crowded):
    as_manager(client)
    assert post(client, "office:case_weight", crowded[0].number, weight="6").status_code == 302
    assert CaseWeight.objects.get().weight == 6
    assert post(client, "office:case_weight", crowded[0].number, weight="12").status_code == 422
    assert post(client, "office:case_weight", "26-99999-0", weight="2").status_code == 404


def test_an_unknown_proposal_is_not_found(client):
    as_manager(client)
    for pk in (99, 10**25):
        assert client.get(f"/office/plan/proposals/{pk}").status_code == 404


def test_only_managers_see_and_decide(client, proposed):
    client.force_login(TechnicianFactory())
    assert shown(client, proposed).status_code == 403
    for name in ("accept", "decline", "stop", "again"):
        assert post(client, f"office:proposal_{name}", proposed.pk).status_code == 403
    assert post(client, "office:propose").status_code == 403
