"""Every word that a page shows is marked for translation: in a language that puts signs around all that it says, no
bare word is left but what people have typed themselves.
"""

import gc
import re
from collections.abc import Iterator
from html.parser import HTMLParser

import pytest
from django.db.models import CharField, TextField
from django.utils import translation

from labcases.bench.forms import _instruments
from labcases.cases.models import CaseImport
from labcases.measurements.models import SpecificationLine
from labcases.pages.templatetags.trade import _day
from labcases.people.choices import _said
from labcases.prosthodontics.provenance import Provenance, Source
from tests.security.filling import our_models
from tests.security.site import crawl, furnished

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
OPENS, CLOSES = "⟦", "⟧"
# Looked up once for each language; they do not know that this is another.
KEPT_BY_LANGUAGE = (_said, _day, _instruments)
READ_ALOUD = ("aria-label", "title", "alt", "placeholder", "data-label")
# Their words are the site's, but nobody reads them.
NOT_READ = {"script", "style", "code", "svg"}
# Said alike in every language: units, names of formats and standards, of the site, and what letters stand for.
ALIKE = {
    "Labcases",
    "mm",
    "mm²",
    "mm³",
    "min",
    "Cpk",
    "Universal",
    "cm³",
    "CSV",
    "XLSX",
    "PDF",
    "JSON",
    "STL",
    "QR",
    "PIN",
    "ISO",
    "English",
    "Deutsch",
}
# Algebra has its own names for functions; a line of it is no sentence.
# So have the columns of a file.
FORMULA = re.compile(r"(?:sin|cos|tan|asin|atan|min|max)\s?\(|[=×·/] |\w_\w")
WORD = re.compile(r"[^\W\d_]{3,}")


def signed(text: str) -> str:
    return f"{OPENS}{text}{CLOSES}" if text else text


@pytest.fixture
def signing(monkeypatch):
    """The language that puts signs around what it says."""
    say = translation._trans
    monkeypatch.setattr(say, "gettext", signed)
    monkeypatch.setattr(say, "pgettext", lambda context, text: signed(text))
    monkeypatch.setattr(say, "ngettext", lambda one, many, number: signed(one if number == 1 else many))
    for kept in KEPT_BY_LANGUAGE:
        kept.cache_clear()
    yield
    for kept in KEPT_BY_LANGUAGE:
        kept.cache_clear()


class Shown(HTMLParser):
    """What a page says, to eyes and to ears."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.said: list[str] = []
        self._silent: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in NOT_READ:
            self._silent.append(tag)
        self.said += [value for name, value in attrs if name in READ_ALOUD and value]

    def handle_endtag(self, tag: str) -> None:
        if self._silent and self._silent[-1] == tag:
            self._silent.pop()

    def handle_data(self, data: str) -> None:
        if not self._silent:
            self.said.append(data)


def bare(text: str) -> str:
    """What stands outside of all signs, which may lie within one another."""
    depth, found = 0, []
    for letter in text:
        depth += (letter == OPENS) - (letter == CLOSES)
        if depth == 0 and letter != CLOSES:
            found.append(letter)
    return "".join(found)


def cited() -> list[str]:
    """What figures rest on, as it was published: it stays in the language in which it can be looked up."""
    sources = (each for each in gc.get_objects() if type(each) is Source)
    found = {each.citation for each in sources if each.provenance != Provenance.DERIVED and each.citation}
    return sorted(found, key=len, reverse=True)


def unmarked(page: str, known: set[str], sources: list[str]) -> Iterator[str]:
    # Signs may begin in one text and end in the next, for a sentence holds links.
    text = bare("\n".join(Shown(page).said))
    for source in sources:
        text = text.replace(source, "").replace(source[:1].upper() + source[1:], "")
    for line in text.splitlines():
        if not FORMULA.search(line) and any(word not in known for word in WORD.findall(line)):
            yield line.strip()


# Words of the site's own that are kept in rows: they are translated where they are shown.
OURS = (SpecificationLine,)


def typed_words() -> set[str]:
    """Every word that people have typed and that lies in some row."""
    words: set[str] = set()
    for model in our_models():
        fields = [] if model in OURS else model._meta.concrete_fields
        texts = [f.name for f in fields if isinstance(f, CharField | TextField) and not f.choices]
        for row in model._default_manager.values_list(*texts):
            words.update(WORD.findall(bare(" ".join(text for text in row if isinstance(text, str)))))
    for headings in CaseImport.objects.values_list("headings", flat=True):
        words.update(WORD.findall(" ".join(headings)))
    return words


@pytest.mark.parametrize("person", ["manager", "technician", "clinician"])
def test_no_page_says_a_word_that_is_not_marked(signing, person):
    site = furnished(sides=1)
    found = crawl(site, person, each_kind=1)
    known = typed_words() | ALIKE
    pages = {address: text for address, text in found.pages.items() if "text/html" in text[:400]}
    assert len(pages) > 20
    sources, faults = cited(), {}
    for address, text in pages.items():
        body = text.partition("<!doctype html>")[2] or text.rpartition("\n")[2]
        if lines := sorted(set(unmarked(body, known, sources))):
            faults[address] = lines
    assert not faults, "\n".join(f"{address}: {lines[:12]}" for address, lines in faults.items())
