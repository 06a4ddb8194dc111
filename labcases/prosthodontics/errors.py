"""The one root of every error that this product raises on purpose."""

from labcases.prosthodontics.wording import Words

SHOWN_CHARACTERS = 40


class LabCasesError(Exception):
    """Something that a person can read and act on; `.message` is that sentence."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message

    def __str__(self) -> str:
        return self.message


class InputError(LabCasesError):
    """A given value that can't be used: `field` names it, `allowed` says what would be taken.

    The text is always one line: ``field: value is not accepted; allowed: …``.
    """

    def __init__(self, field: str, value: object, allowed: str) -> None:
        refusal = Words("{field}: {value} is not accepted; allowed: {allowed}")
        super().__init__(one_line(refusal.of(field=shown_name(field), value=shown(value), allowed=allowed)))
        self.field, self.value, self.allowed = field, value, allowed
        self.args = (field, value, allowed)  # so that the error survives copying between processes


def shown(value: object) -> str:
    """A value as a person would have written it in a JSON file, on one line and of bounded length."""
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    # A number kept as it stood in a file is a kind of text too, but shows without quotes.
    if type(value) is str:
        return f'"{_cut(value)}"'
    if isinstance(value, dict):
        return str(Words("an object"))
    if isinstance(value, list | tuple):
        return str(Words("a list"))
    return shown_number(value)


def shown_number(value: object) -> str:
    """A number, or anything else that has a text of its own, cut to a readable length."""
    # Turning a very long whole number into text is refused by Python itself.
    if isinstance(value, int) and value.bit_length() > 512:
        return str(Words("a number of more than a hundred digits"))
    text = {"nan": "NaN", "inf": "Infinity", "-inf": "-Infinity"}.get(str(value), str(value))
    return one_line(_cut(text))


def shown_name(name: str) -> str:
    """A field's name; one that came from outside may hold anything, so it is cut and made plain."""
    return _cut(name, 120)


def one_line(text: str) -> str:
    """Control, invisible and unpaired characters written as escapes, so that one line stays one line."""
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text)


def _cut(text: str, longest: int = SHOWN_CHARACTERS) -> str:
    return one_line(text if len(text) <= longest else text[: longest - 1] + "…")
