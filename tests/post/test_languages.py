"""Pure: which language a letter is in, and how it tells the time there."""

import datetime

import pytest
from django.utils import translation

from labcases.people.models import User
from labcases.post.actions.wording import _moment
from labcases.post.rules import in_language_of

THURSDAY = datetime.datetime(2026, 12, 3, 14, 5, tzinfo=datetime.UTC)


@pytest.mark.parametrize(
    ("chosen", "laboratory", "moment"),
    [
        ("de", "en-gb", "Do 3 Dez, 14:05"),
        ("en-gb", "de", "Thu 3 Dec, 14:05"),
        ("", "de", "Do 3 Dez, 14:05"),
        ("", "en-gb", "Thu 3 Dec, 14:05"),
    ],
)
def test_a_letter_is_in_its_reader_s_language_or_else_the_laboratory_s(settings, chosen, laboratory, moment):
    settings.LANGUAGE_CODE = laboratory
    with translation.override("en-gb"), in_language_of(User(language=chosen)):
        assert _moment(THURSDAY) == moment
