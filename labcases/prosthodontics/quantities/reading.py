"""Reading one figure of a quantity: the unit, the sign and the possible range are the quantity's own."""

from decimal import Decimal

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.millimetres import MillimetreError, parse_millimetres
from labcases.prosthodontics.quantities.catalogue import quantity
from labcases.prosthodontics.quantities.kinds import Quantity
from labcases.prosthodontics.wording import Words


def read_figure(name: str, value: object) -> Decimal:
    """A typed text or a plain number as this quantity's figure; raises `InputError`, field and range named.

    A float counts as its shortest decimal writing, so 12.5 stays 12.5; it is never rounded to fit.
    """
    return read_as(quantity(name), value, field=name)


def read_as(kind: Quantity, value: object, *, field: str) -> Decimal:
    """As `read_figure`, with the field named as the caller's own form or file names it."""
    try:
        text = _as_text(value)
        figure = parse_millimetres(text, negative=kind.negative, unit=kind.unit)
    except MillimetreError as refused:
        raise InputError(field, value, f"{kind.possible_in_words} ({refused.reason})") from None
    if not kind.is_possible(figure):
        raise InputError(field, value, kind.possible_in_words)
    return figure


def _as_text(value: object) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        raise MillimetreError(value, Words("it is not a number"))
    # Python refuses to write out very long whole numbers; none of them is a figure anyway.
    if isinstance(value, int) and value.bit_length() > 64:
        raise MillimetreError(value, Words("it is far too large"))
    text = str(value)
    return text.removesuffix(".0") if isinstance(value, float) else text
