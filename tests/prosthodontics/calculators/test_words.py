"""Whatever a calculator says to people is said in their language; what it takes and gives to machines is not."""

import re
from collections.abc import Iterator

import pytest

from labcases.prosthodontics import wording
from labcases.prosthodontics.arch import MODELS
from labcases.prosthodontics.calculators import calculate, list_calculators
from labcases.prosthodontics.calculators.inputs import Kind
from labcases.prosthodontics.calculators.options import OPTION_WORDS
from labcases.prosthodontics.calculators.registry import CALCULATORS
from labcases.prosthodontics.calculators.worked import worked_examples
from labcases.prosthodontics.conformity import Rule
from labcases.prosthodontics.glossary import PROGRAM_TERMS, TERMS
from labcases.prosthodontics.materials import CURING_CYCLES
from labcases.prosthodontics.papilla import PapillaPoint
from labcases.prosthodontics.uncertainty import INSTRUMENTS

# Names and signs that are the same in every language.
EVERYWHERE = re.compile(r"Pebble|Beyron|Bergstrom|Gysi|Universal|sin|tan|min|atan|deg|Cpk")
SHOWN_BY_THEIR_OWN_WORDS = {*MODELS, *PapillaPoint, *Rule, *INSTRUMENTS, *CURING_CYCLES}
NUMBERING_SYSTEMS = {"ISO 3950", "Universal"}


@pytest.fixture
def marked(monkeypatch):
    """A language whose every text stands in brackets."""
    monkeypatch.setattr(wording, "_translate", lambda text: f"«{text}»")


def _is_unmarked(text: str) -> bool:
    return "«" not in text and re.search("[a-z]{3,}", EVERYWHERE.sub("", text)) is not None


def _said() -> Iterator[object]:
    for each in worked_examples():
        yield from (each.calculator.label, each.calculator.about)
        for given in each.calculator.inputs:
            yield given.label
            if given.kind is not Kind.CHOICE:
                yield given.allowed
        for value in each.result.values:
            yield value.label
            if value.source is not None and value.source.citation == "algebra and geometry":
                yield value.source.words
        yield from (*each.result.steps, *each.result.cautions)
        for table in each.result.tables:
            yield from (table.title, *table.columns)
            yield from (cell for row in table.rows for cell in row if isinstance(cell, str))


def test_whatever_a_calculator_says_is_marked_as_words(marked):
    said = [f"{text}" for text in _said()]
    assert len(said) > 500
    dates = re.compile(r"\d{4}-\d\d-\d\dT")
    assert [text for text in said if _is_unmarked(text) and not dates.match(text)] == []


def test_every_term_is_marked_as_words(marked):
    terms = (*TERMS, *PROGRAM_TERMS)
    assert [
        term.slug for term in terms if _is_unmarked(f"{term.name}") or _is_unmarked(f"{term.words}")
    ] == []
    assert not any("«" in term.slug for term in terms)


def test_documents_and_their_figures_are_the_same_in_every_language(monkeypatch):
    def answers() -> dict[str, list[object]]:
        found = {name: calculate(name, each.example)["values"] for name, each in CALCULATORS.items()}
        return {name: [(value["name"], value["value"]) for value in values] for name, values in found.items()}

    plain = answers()
    monkeypatch.setattr(wording, "_translate", lambda text: f"«{text}»")
    monkeypatch.setattr(wording, "_decimal_mark", lambda: ",")
    assert answers() == plain


def test_every_option_of_a_choice_can_be_said_in_words():
    options = {option for each in list_calculators() for given in each.inputs for option in given.options}
    assert options - SHOWN_BY_THEIR_OWN_WORDS - NUMBERING_SYSTEMS == set(OPTION_WORDS)
