import pytest
from django.utils import translation

from labcases.cases.choices import StageKind, arch_in_words, in_sentence


@pytest.mark.parametrize("language", ["en-gb", None])
def test_english_writes_a_label_small_within_a_sentence(language):
    with translation.override(language):
        assert in_sentence(StageKind.TRY_IN.label) == "try-in"


def test_german_keeps_the_capitals_of_a_label_within_a_sentence():
    with translation.override("de"):
        assert in_sentence("Einprobe") == "Einprobe"


def test_an_arch_is_said_in_words_and_what_is_of_no_arch_is_not():
    assert [arch_in_words(arch) for arch in ("maxillary", "mandibular", "")] == [
        "maxillary",
        "mandibular",
        "",
    ]
