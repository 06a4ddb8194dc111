import pytest

from labcases.prosthodontics.provenance import Provenance, Source


@pytest.mark.parametrize(
    ("letter", "words"),
    [
        ("S", "published, seen in the source"),
        ("R", "published, recalled, not yet verified"),
        ("C", "common practice, no source"),
        ("M", "from memory, unverified"),
        ("D", "derived here"),
    ],
)
def test_every_class_of_evidence_is_said_in_words(letter: str, words: str) -> None:
    assert Provenance(letter).words == words


def test_a_source_is_printed_with_its_class() -> None:
    source = Source("J Prosthet Dent 1978;39:502-504", Provenance.RECALLED, "H")
    assert source.words == "J Prosthet Dent 1978;39:502-504 (published, recalled, not yet verified)"


def test_a_rule_without_a_source_says_just_that() -> None:
    assert Source("", Provenance.COMMON).words == "common practice, no source"
