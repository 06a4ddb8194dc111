"""One JSON document with a cast, and by choice a rim and a strip, to their geometry in one answer."""

from __future__ import annotations

from collections.abc import Mapping

from labcases.prosthodontics.calculators.registry import calculate, calculator
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.wording import Words

PARTS = ("rim", "strip")


def arch_form_request(document: object) -> dict[str, object]:
    """The answer to `{…cast…, "rim": {…}, "strip": {…}}`, ready for JSON.

    The inputs of the cast are those of the calculator arch_form; a rim adds those of rim_outline, a strip
    those of tooth_strip. A strip stands on the rim of the same document. InputError names what is wrong.
    """
    if not isinstance(document, Mapping):
        raise InputError("document", document, Words("an object with the cast's figures"))
    cast = {name: value for name, value in document.items() if name not in PARTS}
    answer: dict[str, object] = {
        "arch": cast.get("arch", "maxillary"),
        "arch_form": calculate("arch_form", cast),
    }
    rim = _part(document, "rim", cast)
    if "rim" in document:
        answer["rim"] = calculate("rim_outline", {**cast, **rim})
    if "strip" in document:
        shared = {name: value for name, value in rim.items() if name in _names("tooth_strip")}
        answer["strip"] = calculate("tooth_strip", {**cast, **shared, **_part(document, "strip", cast)})
    return answer


def _part(document: Mapping[str, object], name: str, cast: Mapping[str, object]) -> dict[str, object]:
    part = document.get(name, {})
    if not isinstance(part, Mapping):
        raise InputError(name, part, Words("an object"))
    for key in part:
        if key in cast:
            raise InputError(
                f"{name}.{key}", part[key], Words("each input once: it stands with the cast already")
            )
    return dict(part)


def _names(name: str) -> set[str]:
    return {each.name for each in calculator(name).inputs}
