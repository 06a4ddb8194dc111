import pytest
from django.urls import reverse

from labcases.cases.actions.moves import finish_stage
from labcases.cases.models import Case
from tests.bench.benchwork import an_hour_ago, form, seen, stage_at_work, text, waiting_stage
from tests.factories.people import TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def technician(client):
    user = TechnicianFactory()
    client.force_login(user)
    return user


@pytest.fixture
def base(technician):
    stage = stage_at_work(by=technician, kind="record_base")
    finish_stage(stage=stage, by=technician, expected_version=stage.version, now=an_hour_ago())
    return stage


@pytest.fixture
def rims(base):
    return seen(Case.objects.get(pk=base.case_id).current_stage)


def send_back(client, stage, **fields):
    return client.post(reverse("bench:send_back", args=[stage.pk]), form(stage, **fields))


def test_work_goes_back_to_an_earlier_stage_as_the_next_visit(client, base, rims):
    answer = send_back(client, rims, to=base.pk, cause="base_unstable", note="Rocks.")

    assert answer.url == reverse("bench:work")
    now = Case.objects.get(pk=base.case_id).current_stage
    assert (now.kind, now.visit) == ("record_base", 2)
    returned = base.case.returns.get()
    assert (returned.cause, returned.note, returned.from_stage) == ("base_unstable", "Rocks.", rims)


def test_the_page_offers_the_earlier_stages_of_the_laboratory(client, base, rims):
    answer = client.get(reverse("bench:send_back", args=[rims.pk]))

    assert list(answer.context["form"].stages) == [str(base.pk)]
    assert "Record base" in text(answer)


def test_a_return_needs_its_cause_and_other_needs_words(client, base, rims):
    for cause in ("", "other", "bad luck"):
        answer = send_back(client, rims, to=base.pk, cause=cause, note="")
        assert answer.status_code == 422
    assert not base.case.returns.exists()


def test_a_stage_with_nothing_before_it_says_so(client, technician):
    stage = waiting_stage(to=technician)

    answer = client.get(reverse("bench:send_back", args=[stage.pk]))

    assert "There is no earlier laboratory stage to send this back to" in text(answer)


def test_an_old_page_is_a_conflict_that_lists_what_was_typed(client, base, rims):
    send_back(client, rims, to=base.pk, cause="base_unstable", note="First")

    answer = send_back(client, rims, to=base.pk, cause="base_unstable", note="Second thoughts")

    assert answer.status_code == 409
    assert "Second thoughts" in text(answer)
    assert base.case.returns.count() == 1


def test_sent_twice_it_goes_back_once(client, base, rims):
    sent = form(rims, to=base.pk, cause="base_unstable", note="")
    url = reverse("bench:send_back", args=[rims.pk])

    assert client.post(url, sent).url == reverse("bench:work")
    client.post(url, sent)
    assert base.case.returns.count() == 1
