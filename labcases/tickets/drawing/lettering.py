"""How wide a text is at most, so that labels can be placed before anything is rendered.

Widths are those of DejaVu Sans (its own metrics), the widest of the faces that a ticket or a page may use; where a
narrower one is installed a label only gets more air.
"""

from functools import lru_cache

POINT = 25.4 / 72
BODY = 10 * POINT
FIGURE = 14 * POINT

# Advance per character in hundredths of the size: regular, then bold.
_REGULAR = {
    27: "'", 28: "ijl", 29: "IJ", 32: ",. ·", 34: "/:;\\|", 35: "f", 36: "-", 39: "t()[]", 40: "!", 41: "r",
    46: '"', 50: "*_`°–", 52: "sz“”", 53: "?", 55: "c", 56: "L", 58: "kF", 59: "vxy", 60: "P", 61: "aoTY",
    62: "e", 63: "bdghnpquES", 64: "0123456789${}", 66: "K", 68: "AV", 69: "BRXZ", 70: "C", 73: "U",
    75: "HN", 77: "DG", 78: "&", 79: "OQ", 82: "w", 84: "#+<=>^~−±≥≤×", 86: "M", 95: "%", 97: "m½", 99: "W",
}  # fmt: skip
_BOLD = {
    31: "'", 34: "ijl", 35: " ", 37: "IJ/\\|", 38: ",.·", 40: ":;", 42: "-", 44: "f", 46: "!()[]", 48: "t",
    49: "r", 50: "_`°–", 52: '"*', 58: "z?", 59: "c", 60: "s", 64: "L", 65: "vxy", 66: "“”", 67: "ak",
    68: "eEFT", 69: "o", 70: "0123456789$", 71: "hnu{}", 72: "bdgpqSY", 73: "CPZ", 76: "B", 77: "AKRVX",
    81: "U", 82: "G", 83: "D", 84: "HN#+<=>^~−±≥≤×", 85: "OQ", 87: "&", 92: "w", 100: "M%@", 104: "m½",
}  # fmt: skip
_WIDTHS = {
    bold: {character: width for width, characters in table.items() for character in characters}
    for bold, table in ((False, _REGULAR), (True, _BOLD))
}
_UNKNOWN = 110


@lru_cache(maxsize=2048)
def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Width of a text at a size, in the size's unit."""
    widths = _WIDTHS[bold]
    return sum(widths.get(character, _UNKNOWN) for character in text) * size / 100


def shortened(text: str, size: float, *, width: float, bold: bool = False) -> str:
    """The text, cut at its end with an ellipsis where it is wider than `width`."""
    if text_width(text, size, bold=bold) <= width:
        return text
    while text and text_width(text + "…", size, bold=bold) > width:
        text = text[:-1]
    return text.rstrip() + "…"


def wrapped(text: str, size: float, *, width: float) -> list[str]:
    """The text in lines that are no wider than `width`; a word that is wider itself is cut."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size) <= width:
            lines[-1] = longer
        else:
            lines.append(shortened(word, size, width=width))
    return lines
