"""What a PDF holds, read back: its words, its tags, its fonts, its files, and how long its bar of 100 mm came out."""

import io
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pdfplumber
import pypdfium2

MILLIMETRES = 25.4 / 72


def look(pdf: bytes) -> list[str]:
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        pages, root = document.pages, document.doc.catalog
        words = Counter(word["text"] for page in pages for word in page.extract_words())
        fonts = sorted({letter["fontname"].partition("+")[2] for page in pages for letter in page.chars})
        tags = list(_elements(document.structure_tree))
        bar = max(line["width"] for line in pages[-1].lines if line["height"] < 0.01) * MILLIMETRES
    return [
        f"  {len(pages)} pages, {words.total()} words; fonts: {', '.join(fonts)}",
        f"  words of the drawings to be read as text: {'yes' if words['Midline'] else 'no'}",
        f"  files attached: {', '.join(_attached(pdf))}; bar of 100 mm: {bar:.4f} mm",
        f"  language {root['Lang'].decode()}, marked {root['MarkInfo'].get('Marked')}, PDF/UA {_says_ua(root)}",
        *_about_tags(tags),
    ]


def _about_tags(tags: list[dict[str, Any]]) -> Iterator[str]:
    kinds = Counter(tag["type"] for tag in tags)
    figures = [tag for tag in tags if tag["type"] == "Figure"]
    bare = sum(not tag.get("alt_text") for tag in figures)
    yield f"  {len(tags)} tags: {', '.join(f'{kind} {count}' for kind, count in sorted(kinds.items()))}"
    yield f"  drawings without an alternative text: {bare} of {len(figures)}"


def _says_ua(root: dict[str, Any]) -> bool:
    return b"pdfuaid:part" in root["Metadata"].resolve().get_data()


def _attached(pdf: bytes) -> list[str]:
    with pypdfium2.PdfDocument(pdf) as document:
        return [document.get_attachment(n).get_name() for n in range(document.count_attachments())]


def _elements(tags: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    for tag in tags:
        yield tag
        yield from _elements(tag.get("children", []))
