import pytest
from django.urls import reverse

from labcases.cases.actions.moves import finish_stage, hold_stage, start_stage
from labcases.cases.actions.returns import send_back
from labcases.cases.models import Case
from tests.bench.benchwork import an_hour_ago, coming_case, seen, stage_at_work, waiting_stage
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db
URL = reverse("bench:work")


@pytest.fixture
def technician():
    return TechnicianFactory()


def open_work(client, user):
    client.force_login(user)
    return client.get(URL)


def numbers(response, name):
    return [row["stage"].case.number for row in response.context[name]]


def test_what_is_in_progress_comes_first_then_what_is_due_first(client, technician):
    late = waiting_stage(to=technician, wanted_in_days=9)
    soon = waiting_stage(to=technician, wanted_in_days=3)
    held = stage_at_work(by=technician)
    hold_stage(
        stage=held, by=technician, expected_version=held.version, reason="Asked back", now=an_hour_ago()
    )
    begun = stage_at_work(by=technician, wanted_in_days=20)

    response = open_work(client, technician)

    assert numbers(response, "mine") == [each.case.number for each in (begun, soon, late, held)]
    assert b"Asked back" in response.content


def test_each_row_has_one_button_to_its_sheet(client, technician):
    stage = waiting_stage(to=technician)

    content = open_work(client, technician).content.decode()

    assert content.count(f'href="{reverse("bench:sheet", args=[stage.pk])}"') == 1


def test_work_of_somebody_else_is_not_in_my_list(client, technician):
    other = waiting_stage(to=TechnicianFactory())

    response = open_work(client, technician)

    assert numbers(response, "mine") == numbers(response, "unassigned") == []
    assert other.case.number not in response.content.decode()


def test_what_nobody_has_is_listed_apart(client, technician):
    stage = waiting_stage()

    response = open_work(client, technician)

    assert numbers(response, "unassigned") == [stage.case.number]
    assert numbers(response, "mine") == []


def test_what_came_back_says_why(client, technician):
    stage = stage_at_work(by=technician, kind="record_base")
    finish_stage(stage=stage, by=technician, expected_version=stage.version, now=an_hour_ago())
    rims = seen(Case.objects.get(pk=stage.case_id).current_stage)
    start_stage(stage=rims, by=technician, expected_version=rims.version, now=an_hour_ago())
    rims = seen(rims)
    send_back(
        stage=rims,
        to=stage,
        cause="base_unstable",
        note="",
        by=technician,
        expected_version=rims.version,
        now=an_hour_ago(),
    )

    content = open_work(client, technician).content.decode()

    assert "Came back: base unstable" in content


def test_an_arrival_is_to_be_received_and_work_for_the_clinic_to_be_handed_over(client, technician):
    coming = coming_case()
    ready = stage_at_work(by=technician)
    finish_stage(stage=ready, by=technician, expected_version=ready.version, now=an_hour_ago())

    response = open_work(client, technician)

    assert response.context["to_receive"] == [coming]
    assert response.context["to_hand_over"] == [ready.case]
    assert reverse("bench:receive", args=[coming.number]) in response.content.decode()
    assert reverse("bench:hand_over", args=[ready.case.number]) in response.content.decode()


def test_an_empty_bench_says_what_to_do(client, technician):
    content = open_work(client, technician).content.decode()

    assert "Nothing waits for you" in content
    assert "Scan a ticket" in content


def test_a_manager_works_at_the_bench_too(client):
    manager = ManagerFactory()
    stage = waiting_stage(to=manager)

    assert numbers(open_work(client, manager), "mine") == [stage.case.number]


def test_a_clinician_has_no_bench(client):
    assert open_work(client, ClinicianFactory()).status_code == 403


def test_who_is_signed_out_is_asked_to_sign_in(client):
    assert client.get(URL).url == f"{reverse('sign_in')}?next={URL}"


def test_more_rows_take_no_more_queries(client, technician, django_assert_max_num_queries):
    def rows():
        waiting_stage(to=technician)
        waiting_stage()
        coming_case()
        ready = stage_at_work(by=technician)
        finish_stage(stage=ready, by=technician, expected_version=ready.version, now=an_hour_ago())

    rows()
    client.force_login(technician)
    with django_assert_max_num_queries(12) as one:
        client.get(URL)
    for _ in range(2):
        rows()
    with django_assert_max_num_queries(12) as three:
        client.get(URL)
    assert len(one) == len(three)
