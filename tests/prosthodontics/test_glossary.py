"""The trade's words: each names where its definition is from, and those with a drawing name one that exists."""

import pytest

from labcases.prosthodontics.glossary import PROGRAM_TERMS, TERMS
from labcases.prosthodontics.quantities import QUANTITIES
from labcases.tickets.drawing.sketches import sketch_of
from labcases.tickets.drawing.sketches.work import usual_work


@pytest.mark.parametrize("term", [*TERMS, *PROGRAM_TERMS], ids=lambda term: term.slug)
def test_a_word_is_explained_in_a_sentence_with_a_source(term):
    assert term.words.endswith(".")
    assert term.source.words


@pytest.mark.parametrize("term", [term for term in TERMS if term.figure], ids=lambda term: term.slug)
def test_its_drawing_exists(term):
    assert sketch_of(term.figure) is not None


@pytest.mark.parametrize("term", [term for term in TERMS if term.work], ids=lambda term: term.slug)
def test_its_work_is_drawn_with_the_usual_dimensions(term):
    assert usual_work(term.work).views


def test_work_that_has_no_drawing_has_none():
    assert usual_work("processing") is None


def test_published_definitions_have_the_source_of_their_figure():
    for name, figure in (
        ("Freeway space", "freeway_space"),
        ("Incisal display", "incisal_display"),
        ("Closest speaking space", "closest_speaking_space"),
    ):
        (term,) = [each for each in TERMS if each.name == name]
        assert term.source == QUANTITIES[figure].source
