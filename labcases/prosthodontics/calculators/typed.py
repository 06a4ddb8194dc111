"""What was typed into the fields of a form, as a document for a calculator."""

from __future__ import annotations

import re
from collections.abc import Mapping

from labcases.prosthodontics.calculators.definition import Calculator
from labcases.prosthodontics.calculators.inputs import Input, Kind

UNCERTAINTY = "_u"
# A comma may be a decimal mark, so it never parts two numbers.
_BETWEEN = re.compile(r"[\s;]+")


def document_from_texts(calculator: Calculator, texts: Mapping[str, str]) -> dict[str, object]:
    """The document of typed texts by input name; an empty field is left out, other names are ignored.

    A list stands in one field, its numbers parted by spaces, semicolons or line ends; lists of lists have one
    line each. A flag is set by any text. A number's standard uncertainty may stand in `<name>_u`.
    """
    document: dict[str, object] = {}
    for each in calculator.inputs:
        text = texts.get(each.name, "")
        if not text.strip():
            continue
        uncertainty = texts.get(each.name + UNCERTAINTY, "").strip()
        value = _value(each, text)
        document[each.name] = {"value": value, "u": uncertainty} if uncertainty else value
    return document


def _value(each: Input, text: str) -> object:
    match each.kind:
        case Kind.NUMBERS | Kind.COUNTS:
            return _parts(text)
        case Kind.ROWS:
            return [_parts(line) for line in text.splitlines() if line.strip()]
        case Kind.FLAG:
            return True
        case Kind.TEXT:
            return text
        case _:
            return text.strip()


def _parts(text: str) -> list[str]:
    return [part for part in _BETWEEN.split(text) if part]
