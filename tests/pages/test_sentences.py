import pytest
from django.utils import translation

from labcases.prosthodontics.wording import in_a_sentence


@pytest.mark.parametrize(
    ("label", "shown"),
    [
        ("Einprobe", "Einprobe"),
        ("Fehler der Abformung", "Fehler der Abformung"),
        ("Beide Kiefer", "beide Kiefer"),
        ("Individueller Löffel", "individueller Löffel"),
        ("Nur Oberkiefer", "nur Oberkiefer"),
        ("Storniert", "storniert"),
        ("", ""),
    ],
)
def test_within_a_german_sentence_a_label_keeps_its_nouns_large(label, shown):
    with translation.override("de"):
        assert in_a_sentence(label) == shown


def test_within_an_english_sentence_it_is_small():
    with translation.override("en-gb"):
        assert in_a_sentence("Record base") == "record base"
