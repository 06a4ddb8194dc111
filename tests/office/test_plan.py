import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from labcases.cases.choices import StageKind, StageState
from labcases.planning.actions.giving import give
from labcases.planning.models import PlannedWork
from tests.factories.people import TechnicianFactory
from tests.factories.planning import StandardTimeFactory
from tests.office.desk import as_manager, post
from tests.planning.laboratory import case_here, skilled, stage

pytestmark = pytest.mark.django_db


def now():
    return timezone.now()


def arrangement(wanted_in=30, **more):
    """A case that waits for its tooth arrangement, wanted in so many days, and for nothing else."""
    case = case_here(starts_at=StageKind.TOOTH_ARRANGEMENT, now=now(), **more)
    case.stages.filter(kind=StageKind.TRY_IN).update(
        due_on=timezone.localdate() + datetime.timedelta(days=wanted_in)
    )
    case.stages.filter(kind=StageKind.PROCESSING).update(state=StageState.SKIPPED)
    return case


def ticked(case):
    made = stage(case, StageKind.TOOTH_ARRANGEMENT)
    return f"{made.pk}-{made.version}"


def test_the_page_shows_people_by_days_and_open_stages(client):
    as_manager(client)
    person = skilled("arrangement", display_name="Ada Bench")
    case = arrangement()
    answer = client.get(reverse("office:plan"))
    text = answer.content.decode()
    assert answer.status_code == 200
    assert "Ada Bench" in text
    assert "Tooth arrangement" in text
    assert case.number in text
    assert "Every case will be in time" in text
    assert person.pk in [row.person.pk for row, _ in answer.context["rows"]]


def test_filters_and_the_next_days_are_in_the_address(client):
    as_manager(client)
    person = skilled("arrangement")
    given, other = arrangement(), arrangement()
    made = stage(given, StageKind.TOOTH_ARRANGEMENT)
    give(stages=[(made, made.version)], to=person, by=given.opened_by, now=now())
    answer = client.get(reverse("office:plan"), {"show": "unassigned", "days": "next"})
    assert [standing.leg.case.number for standing in answer.context["page"]] == [other.number]
    assert len(answer.context["days"]) == 5
    assert answer.context["days"][0] == answer.context["board"].days[5]
    nonsense = client.get(reverse("office:plan"), {"show": "\x00", "days": "?"})
    assert len(nonsense.context["page"]) == 2


def test_a_stage_is_given_in_one_step_where_nothing_becomes_later(client):
    as_manager(client)
    person, case = skilled("arrangement"), arrangement()
    answer = post(client, "office:plan_give", stage=ticked(case), to=person.pk)
    assert answer.status_code == 302
    assert stage(case, StageKind.TOOTH_ARRANGEMENT).assignee == person
    assert PlannedWork.objects.get().pinned


def test_many_are_given_at_once_for_a_day(client):
    as_manager(client)
    person, cases = skilled("arrangement"), [arrangement(), arrangement()]
    day = client.get(reverse("office:plan")).context["board"].days[6]
    answer = post(client, "office:plan_give", stage=[ticked(case) for case in cases], to=person.pk, day=day)
    # Nine hours on one day of eight: asked back first.
    assert answer.status_code == 200
    assert "this takes 9.0 h" in answer.content.decode()
    assert (
        post(
            client,
            "office:plan_give",
            stage=[ticked(case) for case in cases],
            to=person.pk,
            day=day,
            sure="yes",
        ).status_code
        == 302
    )
    for case in cases:
        made = stage(case, StageKind.TOOTH_ARRANGEMENT)
        assert (made.assignee, made.planned_on) == (person, day)


def test_what_becomes_late_is_shown_before_anything_is_changed(client):
    as_manager(client)
    StandardTimeFactory(stage_kind="tooth_arrangement", hands_on_minutes=60, skill="arrangement", lab_days=1)
    person, case = skilled("arrangement"), arrangement(wanted_in=9)
    last = client.get(reverse("office:plan")).context["board"].days[-1]
    answer = post(client, "office:plan_give", stage=ticked(case), to=person.pk, day=last)
    text = answer.content.decode()
    assert answer.status_code == 200
    assert "Before it is given out" in text
    assert "late: ready" in text
    assert stage(case, StageKind.TOOTH_ARRANGEMENT).assignee is None


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"to": "1"}, "Tick at least one"),
        ({"stage": "1-1", "to": "nobody"}, "not here any more"),
        ({"stage": "1-1", "to": "x"}, "Choose who"),
        ({"stage": "1-1", "to": "nobody", "day": "soon"}, "Choose the day"),
    ],
)
def test_an_incomplete_form_is_refused_in_words(client, data, words):
    as_manager(client)
    answer = post(client, "office:plan_give", **data)
    assert answer.status_code == 422
    assert words in answer.content.decode()


def test_a_page_seen_before_somebody_s_change_conflicts(client):
    as_manager(client)
    person, other, case = skilled("arrangement"), skilled("arrangement"), arrangement()
    old = ticked(case)
    made = stage(case, StageKind.TOOTH_ARRANGEMENT)
    give(stages=[(made, made.version)], to=other, by=case.opened_by, now=now())
    answer = post(client, "office:plan_give", stage=old, to=person.pk, sure="yes")
    assert answer.status_code == 409
    assert stage(case, StageKind.TOOTH_ARRANGEMENT).assignee == other


def test_a_pin_is_taken_off_and_set(client):
    as_manager(client)
    person, case = skilled("arrangement"), arrangement()
    post(client, "office:plan_give", stage=ticked(case), to=person.pk)
    made = stage(case, StageKind.TOOTH_ARRANGEMENT)
    assert "Let it move" in client.get(reverse("office:plan")).content.decode()
    assert post(client, "office:plan_pin", made.pk, pinned="no").status_code == 302
    assert not PlannedWork.objects.get().pinned
    assert "Keep it there" in client.get(reverse("office:plan")).content.decode()
    post(client, "office:plan_pin", made.pk, pinned="yes")
    assert PlannedWork.objects.get().pinned


def test_a_fragment_is_only_the_list(client):
    as_manager(client)
    arrangement()
    answer = client.get(reverse("office:plan"), headers={"HX-Request": "true"})
    text = answer.content.decode()
    assert "<html" not in text
    assert text.lstrip().startswith('<div id="stages">')


def test_empty_states_say_what_to_do(client):
    as_manager(client)
    text = client.get(reverse("office:plan")).content.decode()
    assert "Nobody at the bench yet" in text
    assert "Nothing here" in text


def test_the_page_takes_the_same_queries_for_one_stage_and_for_three(client):
    as_manager(client)
    skilled("arrangement")
    arrangement()
    client.get(reverse("office:plan"))
    with CaptureQueriesContext(connection) as one:
        client.get(reverse("office:plan"))
    arrangement()
    arrangement()
    skilled("arrangement")
    with CaptureQueriesContext(connection) as three:
        client.get(reverse("office:plan"))
    assert len(one) == len(three) <= 12


def test_only_managers_plan(client):
    client.force_login(TechnicianFactory())
    assert client.get(reverse("office:plan")).status_code == 403
    assert post(client, "office:plan_give", stage="1-1", to="1").status_code == 403
    client.logout()
    assert client.get(reverse("office:plan")).status_code == 302
