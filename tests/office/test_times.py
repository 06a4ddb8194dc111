import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.planning.queries.times import standard_times
from labcases.planning.scheduling.times import USUAL_TIMES
from tests.factories.cases import StageFactory
from tests.factories.people import ManagerFactory, TechnicianFactory
from tests.office.desk import as_manager, post

pytestmark = pytest.mark.django_db
TRAY = {
    "hands_on": 30,
    "waiting": 40,
    "finishing": 50,
    "lab_days": 2,
    "one_arch_percent": 60,
    "skill": "casts_and_trays",
}


def finished(count, minutes=30):
    end = timezone.now()
    for _ in range(count):
        StageFactory(
            kind="reline",
            state="done",
            started_at=end - timezone.timedelta(minutes=minutes),
            finished_at=end,
            finished_by=TechnicianFactory(),
        )


def test_each_stage_s_time_stands_beside_what_finished_stages_took(client):
    as_manager(client)
    finished(5)
    text = client.get(reverse("office:times")).content.decode()
    assert "Occlusion rims" in text
    assert "5 finished" in text
    assert text.count("Adopt<") == 1
    assert "starting value" in text


def test_a_time_is_kept(client):
    as_manager(client)
    assert client.get(reverse("office:time", args=["custom_tray"])).status_code == 200
    assert post(client, "office:time", "custom_tray", version=0, **TRAY).status_code == 302
    assert standard_times()["custom_tray"].hands == 80
    assert post(client, "office:time", "custom_tray", version=0, **TRAY).status_code == 409


@pytest.mark.parametrize(
    ("box", "value"), [("hands_on", "0"), ("hands_on", "two"), ("waiting", "99999"), ("skill", "x")]
)
def test_a_mistyped_time_keeps_what_was_typed(client, box, value):
    as_manager(client)
    answer = post(client, "office:time", "custom_tray", version=0, **{**TRAY, box: value})
    assert answer.status_code == 422
    assert 'value="50"' in answer.content.decode()
    assert standard_times()["custom_tray"] == USUAL_TIMES["custom_tray"]


def test_the_median_is_adopted_and_the_delivered_time_comes_back(client):
    as_manager(client)
    assert post(client, "office:adopt_time", "reline", version=0).status_code == 422
    finished(5)
    assert post(client, "office:adopt_time", "reline", version=0).status_code == 302
    assert "5 stages" in standard_times()["reline"].source.citation
    assert post(client, "office:adopt_time", "reline", version=1, which="delivered").status_code == 302
    assert standard_times()["reline"] == USUAL_TIMES["reline"]


@pytest.mark.parametrize("kind", ["try_in", "nonsense"])
def test_only_laboratory_stages_have_times(client, kind):
    as_manager(client)
    assert client.get(reverse("office:time", args=[kind])).status_code == 404
    assert post(client, "office:adopt_time", kind).status_code == 404


def test_skills_are_ticked_for_each_person(client):
    as_manager(client)
    one, other = TechnicianFactory(display_name="Ada Bench"), ManagerFactory()
    assert "Ada Bench" in client.get(reverse("office:skills")).content.decode()
    data = {f"person_{one.pk}": ["arrangement", "processing"], f"person_{other.pk}": ["casts_and_trays"]}
    assert post(client, "office:skills", **data).status_code == 302
    assert set(one.skills.values_list("skill", flat=True)) == {"arrangement", "processing"}
    assert other.skills.count() == 1
    assert post(client, "office:skills", **{f"person_{one.pk}": ["juggling"]}).status_code == 422
    assert one.skills.count() == 2


def test_only_managers_set_times_and_skills(client):
    client.force_login(TechnicianFactory())
    for name, args in (("times", []), ("time", ["reline"]), ("skills", [])):
        assert client.get(reverse(f"office:{name}", args=args)).status_code == 403
    assert post(client, "office:adopt_time", "reline").status_code == 403
