import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.planning.models import Absence, ClosedDay
from labcases.planning.queries.calendars import laboratory_week, own_week, transport_of
from labcases.planning.working_time import USUAL_WEEK, Opening, Transport
from tests.factories.people import PracticeFactory, TechnicianFactory
from tests.factories.planning import AbsenceFactory, ClosedDayFactory
from tests.office.desk import as_manager, case_now, post

pytestmark = pytest.mark.django_db
WEEK = {
    f"{end}_{day}_{turn}": hour
    for day in range(5)
    for turn, hours in ((1, ("08:00", "12:00")), (2, ("12:30", "16:30")))
    for end, hour in zip(("opens", "closes"), hours, strict=True)
}
SOON = timezone.localdate() + datetime.timedelta(days=30)


def page(client):
    return client.get(reverse("office:working_days"))


def test_the_page_shows_week_closed_days_and_absences(client):
    as_manager(client)
    ClosedDayFactory(day=SOON, reason="Founders’ day")
    AbsenceFactory(person=TechnicianFactory(display_name="Ada Bench"), first_day=SOON, last_day=SOON)
    text = page(client).content.decode()
    for words in ("Founders’ day", "Ada Bench", "08:00", "16:30"):
        assert words in text


def test_the_week_is_kept(client):
    as_manager(client)
    changed = {
        **WEEK,
        "closes_4_1": "11.30",
        "opens_4_2": "",
        "closes_4_2": "",
        "opens_5_1": "22:00",
        "closes_5_1": "00:00",
    }
    assert post(client, "office:week", version=0, **changed).status_code == 302
    assert laboratory_week().days[4] == (Opening(480, 690),)
    assert laboratory_week().days[5] == (Opening(1320, 1440),)
    assert post(client, "office:week", version=0, **WEEK).status_code == 409


@pytest.mark.parametrize(
    ("box", "value", "words"),
    [
        ("closes_0_1", "07:00", "it closes after it opens"),
        ("closes_0_1", "", "give both the hour"),
        ("opens_0_2", "11:00", "after the first has ended"),
        ("opens_0_1", "eight", "Enter a valid time"),
    ],
)
def test_a_mistyped_week_keeps_what_was_typed(client, box, value, words):
    as_manager(client)
    answer = post(client, "office:week", version=0, **{**WEEK, box: value})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert words in text
    assert laboratory_week() == USUAL_WEEK
    assert f'value="{value}"' in text or not value


def test_an_empty_week_is_refused_in_words(client):
    as_manager(client)
    answer = post(client, "office:week", version=0)
    assert answer.status_code == 422
    assert "at least one day" in answer.content.decode()


def test_days_are_closed_and_opened_again(client):
    as_manager(client)
    assert post(client, "office:close_days", version=0, first=SOON, reason="Stocktaking").status_code == 302
    closed = ClosedDay.objects.get()
    assert (closed.day, closed.reason) == (SOON, "Stocktaking")
    assert post(client, "office:open_day", closed.pk, version=1).status_code == 302
    assert not ClosedDay.objects.exists()
    assert post(client, "office:open_day", closed.pk, version=2).status_code == 404


@pytest.mark.parametrize("first", ["", "1026-01-01", "9999-01-01", "soon", "2026-02-30"])
def test_an_odd_day_is_put_right(client, first):
    as_manager(client)
    answer = post(client, "office:close_days", version=0, first=first, reason="Stocktaking")
    assert answer.status_code == 422
    assert "Stocktaking" in answer.content.decode()


def test_public_holidays_are_added(client):
    as_manager(client)
    assert post(client, "office:adopt_holidays", version=0, country="DE", region="by").status_code == 302
    assert ClosedDay.objects.filter(origin="public_holiday").exists()
    assert post(client, "office:adopt_holidays", version=1, country="DE", region="NOWHERE").status_code == 422
    assert post(client, "office:adopt_holidays", version=1, country="XX").status_code == 422


def test_an_absence_is_noted_and_removed(client):
    as_manager(client)
    person = TechnicianFactory()
    data = {"person": person.pk, "first_day": SOON, "from_time": "13:00", "until_time": "16:30"}
    assert post(client, "office:add_absence", **data).status_code == 302
    absence = Absence.objects.get()
    assert (absence.last_day, absence.until_time) == (SOON, datetime.time(16, 30))
    assert post(client, "office:add_absence", **{**data, "until_time": ""}).status_code == 422
    assert post(client, "office:remove_absence", absence.pk).status_code == 302
    assert post(client, "office:remove_absence", absence.pk).status_code == 404


def test_due_days_are_laid_anew_when_asked(client):
    as_manager(client)
    case_now()
    answer = post(client, "office:lay_days")
    assert answer.url == reverse("office:working_days")
    assert "have moved" in client.get(answer.url).content.decode()


def test_a_person_s_hours_are_kept_and_given_up(client):
    as_manager(client)
    person = TechnicianFactory()
    url = reverse("office:hours", args=[person.pk])
    assert "The laboratory’s hours" in client.get(url).content.decode()
    post(client, "office:hours", person.pk, version=0, opens_0_1="09:00", closes_0_1="13:00")
    assert own_week(person).days[0] == (Opening(540, 780),)
    post(client, "office:hours", person.pk, version=1, own="no", **WEEK)
    assert own_week(person) is None
    assert client.get(reverse("office:hours", args=[999])).status_code == 404


def test_a_practice_s_collections_are_kept(client):
    as_manager(client)
    practice = PracticeFactory()
    assert client.get(reverse("office:transport", args=[practice.pk])).status_code == 200
    data = {"version": 0, "transit_days": 1, "cut_off_1": "15:00"}
    assert post(client, "office:transport", practice.pk, **data).status_code == 302
    assert transport_of(practice) == Transport({1: 900}, 1)
    assert post(client, "office:transport", practice.pk, **data).status_code == 409
    wrong = post(client, "office:transport", practice.pk, version=1, transit_days="many", cut_off_1="15:00")
    assert wrong.status_code == 422
    assert client.get(reverse("office:transport", args=[999])).status_code == 404


def test_only_managers_set_the_laboratory_s_time(client):
    client.force_login(TechnicianFactory())
    assert page(client).status_code == 403
    for name in ("week", "close_days", "adopt_holidays", "add_absence", "lay_days"):
        assert post(client, f"office:{name}").status_code == 403
