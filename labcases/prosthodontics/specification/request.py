"""The rim specification as one JSON document in, one out.

In: ``arch``, and by choice ``measurements`` (by quantity), ``prescribed`` and ``standard`` (by dimension).
A figure is a JSON number or a text; both are read by the one reader of millimetres. A standard is a target
alone, or an object of ``target`` with ``minus`` and ``plus``. Out: ``arch``, ``dimensions``, ``notes``;
figures are texts with a decimal point. Every refusal is an `InputError` of one line.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from decimal import Decimal
from typing import NoReturn

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.quantities import ARCHES, Quantity, quantity, read_as
from labcases.prosthodontics.specification.lines import Dimension, Specification
from labcases.prosthodontics.specification.rims import PRESCRIBABLE, STAGE, specify_rims
from labcases.prosthodontics.standard import HOUSE_STANDARD, LabStandard, Norm, with_changes
from labcases.prosthodontics.wording import Words

LONGEST_DOCUMENT = 100_000
MEASUREMENTS = (
    "sulcus_to_papilla",
    "papilla_to_resting_lip",
    "incisal_display",
    "papilla_to_smiling_lip",
    "retromolar_pad_height_left",
    "retromolar_pad_height_right",
    "intersulcus_distance",
    "opposing_anterior_height",
)
PARTS = ("arch", "measurements", "prescribed", "standard")
NORM_PARTS = ("target", "minus", "plus")
WIDEST_TOLERANCE = Decimal(20)
REQUEST_SOURCE = Source(Words("the laboratory's own figure, given with this request"), Provenance.COMMON, "M")


class NumberText(str):
    """A number as it stands in the file, read like a typed one, so that nothing is rounded."""

    __slots__ = ()


def load_request(text: str | bytes) -> object:
    """The document in a JSON text; refuses doubled names and what is no text, too long or too deep.

    Numbers stay as they were written. NaN and Infinity are let through, so that their field can be named.
    """
    if len(text) > LONGEST_DOCUMENT:
        found = Words("{count} characters").of(count=len(text))
        raise InputError("document", found, Words("at most {limit}").of(limit=LONGEST_DOCUMENT))
    try:
        return json.loads(
            text.decode("utf-8-sig") if isinstance(text, bytes) else text.removeprefix("\ufeff"),
            object_pairs_hook=_without_doubles,
            parse_int=NumberText,
            parse_float=NumberText,
        )
    except RecursionError:
        found = str(Words("too many brackets inside one another"))
        raise InputError("document", found, Words("one flat JSON object")) from None
    except UnicodeDecodeError:
        found = str(Words("bytes that are no UTF-8 text"))
        raise InputError("document", found, Words("one JSON object in UTF-8")) from None
    except json.JSONDecodeError as error:
        found = Words("no JSON at line {line}, column {column}").of(line=error.lineno, column=error.colno)
        raise InputError("document", found, Words("one JSON object")) from None


def specification_request(document: object) -> dict[str, object]:
    """The answer to one request, ready for JSON; raises `InputError`. Takes plain JSON too."""
    parts = _object("document", document, PARTS)
    arch = _arch(parts)
    specification = specify_rims(
        arch,
        figures=_figures("measurements", parts, MEASUREMENTS),
        prescribed=_figures("prescribed", parts, PRESCRIBABLE[arch]),
        standard=_standard(arch, parts),
    )
    return as_document(specification)


def as_document(specification: Specification) -> dict[str, object]:
    """A specification ready for JSON; the schools that were used stand among the notes."""
    return {
        "arch": specification.arch,
        "dimensions": [_line(line) for line in specification.dimensions],
        "notes": [*specification.notes, *specification.choices],
    }


def _line(line: Dimension) -> dict[str, object]:
    """A line in words carries them as `wording`; the uncertainty is the standard one, in the line's unit."""
    written: dict[str, object] = {
        "name": line.name,
        "label": line.label,
        "target": _text(line.target),
        "lower": _text(line.lower),
        "upper": _text(line.upper),
        "unit": line.unit,
        "basis": line.basis.value,
        "source": line.source,
        "why": line.why,
    }
    if line.wording:
        written["wording"] = line.wording
    if line.uncertainty is not None:
        written["uncertainty"] = _text(line.uncertainty.quantize(Decimal("0.01")))
    return written


def _text(value: Decimal | None) -> str | None:
    """One decimal or as many as are needed, with the plain hyphen that programs read as a minus."""
    if value is None:
        return None
    whole, _, part = f"{value:f}".partition(".")
    return f"{whole}.{part.rstrip('0') or '0'}"


def _arch(parts: Mapping[str, object]) -> str:
    arch = parts.get("arch")
    if not isinstance(arch, str) or arch not in ARCHES:
        raise InputError("arch", arch, ", ".join(ARCHES))
    return arch


def _figures(part: str, parts: Mapping[str, object], names: Iterable[str]) -> dict[str, Decimal]:
    given = _object(part, parts.get(part, {}), names)
    return {name: read_as(quantity(name), value, field=f"{part}.{name}") for name, value in given.items()}


def _standard(arch: str, parts: Mapping[str, object]) -> LabStandard:
    given = _object("standard", parts.get("standard", {}), PRESCRIBABLE[arch])
    return with_changes(HOUSE_STANDARD, norms=[_norm(arch, name, value) for name, value in given.items()])


def _norm(arch: str, name: str, value: object) -> Norm:
    field, kind = f"standard.{name}", quantity(name)
    given = value if isinstance(value, dict) else {"target": value}
    written = _object(field, given, NORM_PARTS)
    if "target" not in written:
        raise InputError(f"{field}.target", None, kind.possible_in_words)
    target = read_as(kind, written["target"], field=f"{field}.target" if given is value else field)
    norm = replace(_delivered(arch, name, kind), target=target, source=REQUEST_SOURCE)
    if "minus" in written:
        norm = replace(norm, minus=_tolerance(kind, written["minus"], f"{field}.minus"))
    if "plus" in written:
        norm = replace(norm, plus=_tolerance(kind, written["plus"], f"{field}.plus"))
    return norm


def _delivered(arch: str, name: str, kind: Quantity) -> Norm:
    """The delivered norm without its remark; where there is none, the anterior height's tolerance."""
    like = HOUSE_STANDARD.find(STAGE, arch, name) or HOUSE_STANDARD.norm(STAGE, arch, "anterior_height")
    return replace(like, dimension=name, unit=kind.unit, note="")


def _tolerance(kind: Quantity, value: object, field: str) -> Decimal:
    tolerance = replace(kind, cannot_be=(Decimal(0), WIDEST_TOLERANCE), negative=False)
    return read_as(tolerance, value, field=field)


def _object(field: str, value: object, names: Iterable[str]) -> Mapping[str, object]:
    allowed = tuple(names)
    if not isinstance(value, dict):
        names_in_words = Words("an object with any of: {names}").of(names=", ".join(allowed))
        raise InputError(field, value, names_in_words)
    for name in value:
        if name not in allowed:
            raise InputError(field, name, ", ".join(allowed))
    return value


def _without_doubles(pairs: list[tuple[str, object]]) -> dict[str, object]:
    found: dict[str, object] = {}
    for name, value in pairs:
        if name in found:
            _refuse_double(name, value)
        found[name] = value
    return found


def _refuse_double(name: str, value: object) -> NoReturn:
    raise InputError(name, value, Words("each name once; it stands in this object twice"))
