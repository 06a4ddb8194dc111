"""Words are English to the machine and in the reader's language to people."""

import json
from decimal import Decimal

import pytest
from django.utils import translation
from django.utils.html import conditional_escape

from labcases.prosthodontics import wording
from labcases.prosthodontics.wording import Words, figure, in_a_sentence


@pytest.fixture
def backwards(monkeypatch):
    """A language that says everything backwards, with a comma in figures."""
    monkeypatch.setattr(wording, "_translate", lambda text: text[::-1])
    monkeypatch.setattr(wording, "_decimal_mark", lambda: ",")


def test_without_a_translation_words_are_what_they_say():
    assert (str(Words("Midline")), f"{Words('Midline'):>8}", figure("12.5")) == (
        "Midline",
        " Midline",
        "12.5",
    )


def test_people_read_their_own_language(backwards):
    words = Words("a < b")
    assert (str(words), f"{words}", f"{words:_>7}") == ("b < a", "b < a", "__b < a")
    assert conditional_escape(words) == "b &lt; a"
    assert figure("12.5") == "12,5"


def test_the_machine_reads_english(backwards):
    words = Words("Midline")
    assert (words, hash(words), json.dumps([words])) == ("Midline", hash("Midline"), '["Midline"]')


def test_the_parts_of_a_sentence_go_where_the_language_wants_them(monkeypatch):
    monkeypatch.setattr(wording, "_translate", {"{a} over {b}": "unter {b} liegt {a}"}.get)
    assert Words("{a} over {b}").of(a="x", b="y") == "unter y liegt x"


def test_a_figure_handed_to_a_sentence_takes_the_mark_of_the_language(monkeypatch):
    monkeypatch.setattr(wording, "_decimal_mark", lambda: ",")
    sentence = Words("{height:.1f} mm of {whole} in {parts} parts.")
    assert sentence.of(height=8.0, whole=Decimal("9.5"), parts=2) == "8,0 mm of 9,5 in 2 parts."


@pytest.mark.parametrize(("language", "shown"), [("en-gb", "try-in, visit 2"), ("de", "Try-in, Visit 2")])
def test_a_label_within_a_sentence_is_small_in_english_and_not_in_german(language, shown):
    with translation.override(language):
        assert in_a_sentence("Try-in, Visit 2") == shown
