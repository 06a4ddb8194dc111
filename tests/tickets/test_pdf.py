"""The printer reaches nothing, whatever the sheet asks for; equal sheets are equal to the byte."""

import dataclasses
import io
import logging
import socketserver
import threading

import pdfplumber
import pytest

from labcases.tickets.page import ticket_sheet
from labcases.tickets.pdf import PaperError, Sheet, lay_out, render_pdf, together
from tests.tickets.made_facts import imprint, ticket_facts
from tests.tickets.paper import Paper

CODE = "FMHLETTEN7UB7PM7GIITCDBTCP"


def html(body="", head=""):
    return f'<!doctype html><html lang="en"><head><title>T</title>{head}</head><body>{body}</body></html>'


@pytest.fixture
def listener():
    """A server on loopback that counts who calls, and a file that must not be read."""
    calls = []

    class Counting(socketserver.BaseRequestHandler):
        def handle(self):
            calls.append(self.request.recv(200))
            self.request.sendall(b"HTTP/1.1 200 OK\r\nContent-Length: 0\r\n\r\n")

    with socketserver.ThreadingTCPServer(("127.0.0.1", 0), Counting) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_address[1]}", calls
        server.shutdown()


PIXEL = (
    "data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk"
    "+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg=="
)
ASKING = {
    "an image": ("<img src='{url}/a.png' alt=''>", ""),
    "an object": ("<object data='{url}/a.svg'></object>", ""),
    "an embedded thing": ("<embed src='{url}/a.svg'>", ""),
    "a linked style sheet": ("", "<link rel=stylesheet href='{url}/a.css'>"),
    "an attachment": ("", "<link rel=attachment href='{url}/a.txt'>"),
    "an attachment behind a link": ("<a rel=attachment href='{url}/a.txt'>x</a>", ""),
    "an import in a style": ("", "<style>@import '{url}/a.css';</style>"),
    "a background": ("<p style='background: url({url}/a.png)'>x</p>", ""),
    "a list mark": ("<ul style='list-style-image: url({url}/a.png)'><li>x</li></ul>", ""),
    "a picture in a margin": ("", "<style>@page {{ @top-left {{ content: url({url}/a.png) }} }}</style>"),
    "a font": (
        "<p style='font-family: F'>x</p>",
        "<style>@font-face {{ font-family: F; src: url({url}/a.woff) }}</style>",
    ),
    "an image in a drawing": (
        "<svg viewBox='0 0 9 9' width='9mm' height='9mm'><image href='{url}/a.png' width='9' height='9'/></svg>",
        "",
    ),
    "a style sheet in a drawing": (
        "<svg viewBox='0 0 9 9'><style>@import url({url}/a.css);</style><path d='M0 0h9'/></svg>",
        "",
    ),
    "a piece of another drawing": ("<svg viewBox='0 0 9 9'><use href='{url}/a.svg#b'/></svg>", ""),
}


@pytest.mark.parametrize("name", ASKING)
@pytest.mark.parametrize("scheme", ["http", "file", "data"])
def test_a_sheet_that_asks_for_something_gets_nothing(name, scheme, listener, tmp_path):
    address, calls = listener
    secret = tmp_path / "secret.txt"
    secret.write_text("not to be printed")
    url = {"http": address, "file": tmp_path.as_uri(), "data": PIXEL + "#"}[scheme]
    if scheme == "file":
        (tmp_path / "a.txt").write_text("not to be printed")
    body, head = (part.format(url=url) for part in ASKING[name])
    try:
        printed = render_pdf(Sheet(html(body, head), ()))
    except PaperError:
        printed = None
    assert calls == []
    if printed:
        assert embedded_files(printed.pdf) == []
        assert b"not to be printed" not in printed.pdf


@pytest.mark.parametrize("name", ["an image", "an attachment", "an import in a style", "a background"])
def test_a_sheet_that_asks_is_not_printed_at_all(name, listener, caplog):
    body, head = (part.format(url=listener[0]) for part in ASKING[name])
    with caplog.at_level(logging.ERROR), pytest.raises(PaperError, match="not printed"):
        render_pdf(Sheet(html(body, head), ()))
    assert "127.0.0.1" in caplog.text


def test_a_style_sheet_that_asks_is_not_used(listener):
    with pytest.raises(PaperError):
        render_pdf(Sheet(html("<p>x</p>"), (f"p {{ background: url({listener[0]}/a.png) }}",)))
    assert listener[1] == []


def test_the_listener_would_have_been_called(listener):
    """The same sheet with the renderer's own fetcher: the proof above can fail."""
    from weasyprint import HTML

    address, calls = listener
    HTML(string=html(f"<img src='{address}/a.png' alt=''>")).write_pdf()
    assert len(calls) == 1


def embedded_files(pdf):
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        names = document.doc.catalog.get("Names") or {}
        found = list(names) if isinstance(names, dict) else [names]
        notes = [note for page in document.pages for note in page.annots if "FileAttachment" in str(note)]
    return [name for name in found if "EmbeddedFiles" in str(name)] + notes


HOSTILE = "<img src='{url}/x.png'><link rel=attachment href='{url}/x'><style>@import '{url}/x.css';</style>"
TYPED = [
    name
    for name, value in dataclasses.asdict(ticket_facts()).items()
    if isinstance(value, str) and name != "stage_kind"
]


def test_what_people_typed_is_printed_as_typed_and_fetches_nothing(listener):
    address, calls = listener
    said = HOSTILE.format(url=address) + f"url({address}/y) </td></svg><svg><image href='{address}/z'/></svg>"
    facts = ticket_facts()
    arch = facts.specification.arches[0]
    line = dataclasses.replace(arch.lines[0], label=said, why=said, source=said, formula=said)
    arch = dataclasses.replace(arch, lines=(line, *arch.lines[1:]), notes=(said,))
    facts = dataclasses.replace(
        facts,
        **dict.fromkeys(TYPED, said),
        changes=(said,),
        disinfected=(said,),
        steps=(dataclasses.replace(facts.steps[0], text=said, done=said),),
        specification=dataclasses.replace(facts.specification, arches=(arch,), rule=said, choices=(said,)),
    )
    printed = render_pdf(ticket_sheet(facts, dataclasses.replace(imprint(), printed_by=said)))
    assert calls == []
    assert embedded_files(printed.pdf) == []
    assert Paper(printed.pdf).bare.count("".join(said.split())) >= len(TYPED)


def test_equal_sheets_are_equal_to_the_byte():
    mark = imprint(CODE)
    first, second = (render_pdf(ticket_sheet(ticket_facts(), mark)).pdf for _ in range(2))
    assert first == second
    other = render_pdf(ticket_sheet(ticket_facts(), imprint())).pdf
    assert other != first


def test_the_document_is_tagged_and_has_its_title_and_language():
    printed = render_pdf(ticket_sheet(ticket_facts(specification=None), imprint(CODE)))
    with pdfplumber.open(io.BytesIO(printed.pdf)) as document:
        catalog, metadata = document.doc.catalog, document.metadata
        described = catalog["Metadata"].resolve().get_data()
    assert catalog["MarkInfo"]["Marked"] is True
    assert "StructTreeRoot" in catalog
    assert catalog["Lang"] == b"en-GB"
    assert metadata["Title"] == "Work ticket 26-00417-K, Occlusion rims, visit 2"
    assert metadata["CreationDate"].startswith("D:20260302091400")
    assert b"pdfuaid" in described


def test_drawings_have_an_alternative_text_in_the_tags():
    printed = render_pdf(ticket_sheet(ticket_facts(), imprint(CODE)))
    with pdfplumber.open(io.BytesIO(printed.pdf)) as document:
        texts = set(alternative_texts(document.structure_tree))
    assert "Maxillary occlusion rim with its dimensions" in texts
    assert "Mandibular occlusion rim with its dimensions" in texts
    assert "Scan code of this ticket" in texts


def alternative_texts(nodes):
    for node in nodes:
        if node.get("alt_text"):
            yield node["alt_text"]
        yield from alternative_texts(node.get("children", []))


def test_the_renderer_has_nothing_to_complain_about(caplog):
    """Every rule of the style sheet is one that is understood, and the tags lack nothing."""
    with caplog.at_level(logging.WARNING):
        render_pdf(ticket_sheet(ticket_facts(), imprint(CODE)))
    assert [record.message for record in caplog.records if record.name.startswith("weasyprint")] == []


def test_sheets_together_keep_their_own_page_numbers():
    sheets = [ticket_sheet(ticket_facts(specification=None), imprint()) for _ in range(2)]
    laid = [lay_out(sheet) for sheet in sheets]
    alone = [each.printed() for each in laid]
    both = together(laid)
    assert both.pages == sum(each.pages for each in alone)
    numbers = [text for each in alone for text in Paper(each.pdf).texts]
    assert Paper(both.pdf).texts == numbers
    assert [each.printed().pdf for each in laid] == [each.pdf for each in alone]
