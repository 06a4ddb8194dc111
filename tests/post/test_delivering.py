import datetime

import pytest

from labcases.people.refusals import Conflict, NotAllowed
from labcases.post.actions import delivering
from labcases.post.actions.delivering import clear_letters, deliver, drop_letter, try_again
from labcases.post.choices import LetterState
from labcases.post.models import CaseLink, Letter
from labcases.post.rules import PAUSES
from tests.factories.cases import NOW
from tests.factories.people import ManagerFactory, TechnicianFactory
from tests.factories.post import CaseLinkFactory, LetterFactory
from tests.post.mail import mail_server

pytestmark = pytest.mark.django_db
MINUTE = datetime.timedelta(minutes=1)
DAY = datetime.timedelta(days=1)


@pytest.fixture
def by_smtp(settings):
    def set_up(port):
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_USE_TLS = "127.0.0.1", port, False

    return set_up


def test_a_server_that_is_down_loses_nothing(by_smtp):
    first, second = LetterFactory(), LetterFactory(next_try_at=NOW + MINUTE / 2)
    with mail_server() as server:
        port = server.port
    by_smtp(port)
    assert deliver(now=NOW + MINUTE) == (0, 1)
    first.refresh_from_db()
    assert (first.state, first.tries) == (LetterState.WAITING, 1)
    assert first.next_try_at == NOW + 2 * MINUTE
    assert "does not answer" in first.failure
    with mail_server() as server:
        by_smtp(server.port)
        assert deliver(now=NOW + MINUTE) == (1, 0)
        assert deliver(now=NOW + 2 * MINUTE) == (1, 0)
        assert deliver(now=NOW + DAY) == (0, 0)
        ids = [letter["Message-ID"] for letter in server.taken]
    assert ids == [f"<{letter.message_id}@lab.example>" for letter in (second, first)]
    assert {letter.state for letter in Letter.objects.all()} == {LetterState.SENT}


def test_an_address_that_the_server_will_never_take_is_given_up_and_the_others_go(by_smtp):
    LetterFactory()
    with mail_server() as server:
        by_smtp(server.port)
        server.answers["RCPT"] = "550 nobody here"
        assert deliver(now=NOW) == (0, 1)
        letter = Letter.objects.get()
        assert (letter.state, letter.failure) == (
            LetterState.GIVEN_UP,
            "The mail server does not take letters to this address (550).",
        )
        server.answers["RCPT"] = "450 come back later"
        LetterFactory()
        deliver(now=NOW)
        assert Letter.objects.filter(state=LetterState.WAITING).count() == 1


def test_after_days_of_silence_a_person_looks_at_it(by_smtp):
    with mail_server() as server:
        by_smtp(server.port)
    letter = LetterFactory(tries=len(PAUSES))
    deliver(now=NOW)
    letter.refresh_from_db()
    assert letter.state == LetterState.GIVEN_UP
    assert deliver(now=NOW + 9 * DAY) == (0, 0)


def test_a_letter_is_sent_by_one_worker_only(mailoutbox, monkeypatch):
    letter = LetterFactory()
    stale = [Letter.objects.get(pk=letter.pk)]
    deliver(now=NOW)
    monkeypatch.setattr(delivering, "letters_due", lambda now: stale)
    assert deliver(now=NOW) == (0, 0)
    assert len(mailoutbox) == 1


def test_a_letter_that_can_t_be_made_does_not_hold_up_the_others(mailoutbox):
    LetterFactory(subject="two\nlines")
    LetterFactory(subject="one line")
    assert deliver(now=NOW) == (1, 1)
    assert [letter.subject for letter in mailoutbox] == ["one line"]


def test_a_manager_has_a_letter_tried_again_or_drops_it(mailoutbox):
    manager = ManagerFactory()
    again, dropped = (LetterFactory(state=LetterState.GIVEN_UP, tries=9) for _ in range(2))
    try_again(again, by=manager, expected_version=1, now=NOW)
    drop_letter(dropped, by=manager, expected_version=1)
    deliver(now=NOW)
    again.refresh_from_db()
    dropped.refresh_from_db()
    assert (again.state, again.tries) == (LetterState.SENT, 1)
    assert (dropped.state, dropped.settled_by) == (LetterState.DROPPED, manager)
    for letter in (again, dropped):
        with pytest.raises(Conflict):
            drop_letter(letter, by=manager, expected_version=letter.version)
    with pytest.raises(NotAllowed):
        drop_letter(LetterFactory(), by=TechnicianFactory(), expected_version=1)


def test_letters_and_links_that_have_served_their_time_go():
    for state, days in (("sent", 91), ("sent", 89), ("waiting", 91)):
        at = NOW - days * DAY
        LetterFactory(state=state, written_at=at, sent_at=at if state == "sent" else None)
    CaseLinkFactory(made_at=NOW - 40 * DAY, expires_at=NOW - 31 * DAY)
    kept = CaseLinkFactory(made_at=NOW - 40 * DAY, expires_at=NOW - 29 * DAY)
    assert clear_letters(now=NOW) == 1
    assert list(CaseLink.objects.all()) == [kept]
    assert Letter.objects.count() == 2
