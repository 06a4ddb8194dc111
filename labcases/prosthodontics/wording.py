"""Words that people read, in the language of whoever reads them.

This package writes English and translates nothing. Whoever runs it may say with `translate_with` how a text is said in
the language of the moment, and which mark its figures have; nobody who compares, stores or sends words notices.
"""

import html
from collections.abc import Callable
from decimal import Decimal


def _point() -> str:
    return "."


_translate: Callable[[str], str] = str
_decimal_mark: Callable[[], str] = _point
_small: Callable[[str], str] = str.lower


def translate_with(
    translate: Callable[[str], str],
    *,
    decimal_mark: Callable[[], str],
    small: Callable[[str], str] = str.lower,
) -> None:
    """All are asked each time that words are shown, for the language may change from one page to the next."""
    global _translate, _decimal_mark, _small
    _translate, _decimal_mark, _small = translate, decimal_mark, small


class Words(str):
    """A text in English for the machine; `str(words)`, f-strings and templates give it to people in their language.

    Its methods and `join` work on the English text, as on any other: `str(words).lower()`, not `words.lower()`.
    """

    __slots__ = ()

    def __str__(self) -> str:
        return _translate(self[:])

    def __format__(self, how: str) -> str:
        return format(str(self), how)

    def __html__(self) -> str:
        return html.escape(str(self))

    def of(self, **parts: object) -> str:
        """The sentence with its parts put in, whose order another language may change: "{height} above {plane}".

        Figures may be handed over as they are, with their places in the sentence: "{height:.1f} mm".
        """
        return str(self).format(
            **{
                name: _Figure(part) if isinstance(part, float | Decimal) else part
                for name, part in parts.items()
            }
        )


class _Figure:
    """A number that takes the decimal mark of the language as it is written into a sentence."""

    __slots__ = ("value",)

    def __init__(self, value: float | Decimal) -> None:
        self.value = value

    def __format__(self, how: str) -> str:
        return figure(format(self.value, how))


def figure(text: str) -> str:
    """A number that was written with a point, with the decimal mark of the language."""
    return text.replace(".", _decimal_mark())


def in_a_sentence(label: str) -> str:
    """A label as it stands within a sentence: English then writes it small, German leaves its nouns as they are."""
    return _small(str(label))
