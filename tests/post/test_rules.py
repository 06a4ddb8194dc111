import datetime
import smtplib

import pytest

from labcases.cases.choices import Act, StageState
from labcases.post.choices import News
from labcases.post.rules import PAUSES, failure_in_words, news_of, pause_after

DAY = datetime.timedelta(days=1)


def test_pauses_grow_and_together_outlast_a_long_weekend():
    pauses = [pause_after(tries) for tries in range(1, len(PAUSES) + 1)]
    assert pauses == sorted(pauses)
    assert sum(pauses, datetime.timedelta()) > 3 * DAY
    assert pause_after(len(PAUSES) + 1) is None


@pytest.mark.parametrize(
    ("act", "by_laboratory", "complete", "stage_state", "news"),
    [
        (Act.HANDED_OVER, True, True, StageState.WAITING, News.ON_ITS_WAY),
        (Act.HELD, True, True, StageState.ON_HOLD, News.ON_HOLD),
        (Act.HELD, True, True, StageState.IN_PROGRESS, None),
        (Act.HELD, False, True, StageState.ON_HOLD, None),
        (Act.OPENED, True, False, "", News.INCOMPLETE),
        (Act.RECEIVED, True, False, "", News.INCOMPLETE),
        (Act.PRESCRIPTION_CHANGED, True, False, "", News.INCOMPLETE),
        (Act.PRESCRIPTION_CHANGED, True, True, "", None),
        (Act.OPENED, False, False, "", None),
        (Act.FINISHED, True, True, StageState.DONE, None),
    ],
)
def test_what_is_worth_a_letter(act, by_laboratory, complete, stage_state, news):
    found = news_of(act, by_laboratory=by_laboratory, complete=complete, stage_state=stage_state)
    assert found is news


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (ConnectionRefusedError(111, "Connection refused"), "does not answer (Connection refused)"),
        (TimeoutError(), "does not answer (TimeoutError)"),
        (smtplib.SMTPAuthenticationError(535, b"no"), "did not accept the site's own name and password"),
        (smtplib.SMTPRecipientsRefused({"a@b.example": (550, b"who?")}), "to this address (550)"),
        (smtplib.SMTPDataError(451, b"later, a@b.example"), "answered 451"),
        (ValueError("a@b.example"), "could not be handed over (ValueError)"),
    ],
)
def test_a_failure_is_told_in_words_without_the_address(error, words):
    said = failure_in_words(error)
    assert words in said
    assert "a@b" not in said
