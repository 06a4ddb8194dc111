"""From what happened to the letters about it, and nothing in between is lost or told twice."""

import datetime

import pytest

from labcases.cases.actions.crossings import hand_to_clinic
from labcases.cases.actions.intake import change_prescription
from labcases.cases.actions.moves import finish_stage, hold_stage, start_stage
from labcases.cases.actions.undoing import undo
from labcases.cases.choices import Act, StageKind
from labcases.cases.models import Stage, Untold
from labcases.post.actions.delivering import deliver
from labcases.post.actions.telling import gather_morning_letters, tell_news
from labcases.post.choices import News, Rhythm
from labcases.post.models import Letter, Line
from tests.factories.cases import NOW, taken_in_case
from tests.factories.people import ClinicianFactory, ManagerFactory
from tests.factories.post import SubscriptionFactory
from tests.office.desk import receive

pytestmark = pytest.mark.django_db
HOUR = datetime.timedelta(hours=1)
DAY = datetime.timedelta(days=1)
SECRET = "P-SECRET"


@pytest.fixture
def manager():
    return ManagerFactory()


@pytest.fixture
def reader():
    return SubscriptionFactory()


def case_of(reader, manager, **changes):
    """A case of the reader's, with all that has happened so far told."""
    given = {"patient_code": SECRET, "starts_at": StageKind.DEFINITIVE_IMPRESSIONS} | changes
    case = taken_in_case(prescriber=reader.person, by=manager, **given)
    Untold.objects.all().delete()
    return case


def handed_over(reader, manager, **changes):
    case = case_of(reader, manager, starts_at=StageKind.CUSTOM_TRAY, **changes)
    receive(case, manager)
    stage = case.current_stage
    start_stage(stage=stage, by=manager, expected_version=stage.version, now=NOW)
    stage.refresh_from_db()
    finish_stage(stage=stage, by=manager, expected_version=stage.version, now=NOW)
    hand_to_clinic(case=case, by=manager, now=NOW + HOUR)
    return case


def news():
    return list(Line.objects.values_list("person__subscription__pk", "news"))


def test_a_case_handed_over_is_told_at_once_and_once(reader, manager):
    case = handed_over(reader, manager)
    tell_news(now=NOW + HOUR)
    assert not Untold.objects.exists()
    assert tell_news(now=NOW + HOUR) == 0
    letter = Letter.objects.get()
    assert letter.subject == f"Case {case.number} is on its way to you"
    assert (letter.person, letter.address) == (reader.person, reader.address)
    assert news() == [(reader.pk, News.ON_ITS_WAY)]


def test_news_of_several_cases_at_the_same_time_is_one_letter(reader, manager, mailoutbox):
    first = handed_over(reader, manager)
    second = handed_over(reader, manager)
    Untold.objects.create(event=first.events.get(act=Act.HANDED_OVER))
    tell_news(now=NOW + HOUR)
    deliver(now=NOW + HOUR)
    (letter,) = mailoutbox
    assert letter.subject == "2 cases with news for you"
    assert all(f"Case {case.number} is on its way to you" in letter.body for case in (first, second))


def test_what_was_taken_back_meanwhile_is_not_told(reader, manager):
    case = case_of(reader, manager, starts_at=StageKind.CUSTOM_TRAY)
    receive(case, manager)
    stage = case.current_stage
    start_stage(stage=stage, by=manager, expected_version=stage.version, now=NOW)
    stage.refresh_from_db()
    hold_stage(stage=stage, by=manager, expected_version=stage.version, reason="Which shade?", now=NOW)
    stage.refresh_from_db()
    undo(event=case.events.get(act=Act.HELD), by=manager, expected_version=stage.version, now=NOW)
    tell_news(now=NOW)
    assert not Letter.objects.exists()


def test_a_stage_on_hold_asks_for_an_answer_without_quoting_the_reason(reader, manager, mailoutbox):
    case = case_of(reader, manager, starts_at=StageKind.CUSTOM_TRAY)
    receive(case, manager)
    stage = case.current_stage
    start_stage(stage=stage, by=manager, expected_version=stage.version, now=NOW)
    stage.refresh_from_db()
    hold_stage(stage=stage, by=manager, expected_version=stage.version, reason="Which shade?", now=NOW)
    tell_news(now=NOW)
    deliver(now=NOW)
    assert (
        mailoutbox[0].subject == f"Case {case.number} is on hold at the laboratory and may need your answer"
    )
    assert "shade" not in mailoutbox[0].body
    assert Stage.objects.get(pk=stage.pk).hold_reason == "Which shade?"


def test_an_incomplete_prescription_is_told_once_a_day_and_not_to_who_left_it_so(reader, manager):
    case = case_of(reader, manager)
    other = SubscriptionFactory(person=ClinicianFactory(practice=reader.person.practice), whole_practice=True)
    for by, at in ((reader.person, NOW), (manager, NOW + HOUR), (manager, NOW + 2 * HOUR)):
        case.refresh_from_db()
        change = {"work_description": "" if at == NOW else f"not signed {at}"}
        change_prescription(case=case, changes=change, by=by, expected_version=case.version, now=at)
        tell_news(now=at)
    assert sorted(news()) == sorted([(reader.pk, News.INCOMPLETE), (other.pk, News.INCOMPLETE)])


def test_only_who_asked_for_it_is_told(manager):
    reader = SubscriptionFactory()
    practice = reader.person.practice
    SubscriptionFactory(person=ClinicianFactory(practice=practice))
    follows_all = SubscriptionFactory(person=ClinicianFactory(practice=practice), whole_practice=True)
    SubscriptionFactory(person=ClinicianFactory(practice=practice), whole_practice=True, rhythm=Rhythm.NEVER)
    SubscriptionFactory(person=ClinicianFactory(practice=practice, is_active=False), whole_practice=True)
    SubscriptionFactory(whole_practice=True)
    handed_over(reader, manager)
    tell_news(now=NOW + HOUR)
    assert sorted(pk for pk, _ in news()) == sorted([reader.pk, follows_all.pk])


def test_a_site_without_e_mail_writes_none_and_keeps_nothing_back(reader, manager, settings):
    settings.LETTERS = False
    handed_over(reader, manager)
    tell_news(now=NOW + HOUR)
    assert not Untold.objects.exists()
    assert not Letter.objects.exists()


def test_what_happened_long_ago_is_not_told_after_a_standstill(reader, manager):
    handed_over(reader, manager)
    tell_news(now=NOW + 8 * DAY)
    assert not Letter.objects.exists()


def test_a_morning_s_letter_gathers_the_day_before_and_what_is_overdue(manager, mailoutbox):
    reader = SubscriptionFactory(rhythm=Rhythm.DAILY)
    overdue = case_of(reader, manager)
    on_its_way = handed_over(reader, manager, wanted_in_days=60)
    tell_news(now=NOW + HOUR)
    assert not Letter.objects.exists()
    before_seven = (NOW + 10 * DAY).replace(hour=6)
    assert gather_morning_letters(now=before_seven) == 0
    morning = before_seven.replace(hour=7)
    assert gather_morning_letters(now=morning) == 1
    assert gather_morning_letters(now=morning + HOUR) == 0
    deliver(now=morning)
    (letter,) = mailoutbox
    assert letter.subject == "2 cases: your letter of Thu 12 Mar"
    assert letter.body.index(f"Case {overdue.number} waits for you") < letter.body.index(
        f"Case {on_its_way.number} is on its way to you"
    )


def test_a_morning_without_news_has_no_letter(manager):
    SubscriptionFactory(rhythm=Rhythm.DAILY)
    assert gather_morning_letters(now=NOW) == 0


def test_a_letter_names_number_event_and_address_and_nothing_of_the_patient(reader, manager, mailoutbox):
    case = handed_over(reader, manager)
    tell_news(now=NOW + HOUR)
    deliver(now=NOW + HOUR)
    (letter,) = mailoutbox
    assert letter.to == [reader.address]
    assert letter.from_email == "cases@lab.example"
    assert letter.extra_headers["Auto-Submitted"] == "auto-generated"
    assert f"Case {case.number} is on its way to you. Definitive impressions is next." in letter.body
    assert letter.body.count("https://lab.example/letters/") == 1
    for secret in (SECRET, "71", str(reader.person), case.practice.name, "pink"):
        assert secret not in letter.subject + letter.body
