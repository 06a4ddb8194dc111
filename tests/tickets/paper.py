"""Reading a printed sheet back: where every character stands, and whether any of it was lost on the way."""

from collections import defaultdict
from dataclasses import dataclass

import pypdfium2

POINT = 72 / 25.4  # points in a millimetre
BROKEN_HYPHENS = ("\x02", "\ufffe")  # what the reader makes of a hyphen at the end of a line
OVERHANG = 0.4  # mm that a letter such as J may reach out of its own advance
LIGATED = "fFtl"  # drawn as one with the next letter, both have the same box
TOP, BOTTOM = 15.0, 14.0  # mm, for what repeats on every page


@dataclass(frozen=True)
class Letter:
    """One printed character: page from 0, box in mm from the page's top left corner."""

    page: int
    text: str
    x0: float
    y0: float
    x1: float
    y1: float


class Paper:
    def __init__(self, pdf: bytes) -> None:
        with pypdfium2.PdfDocument(pdf) as document:
            self.sizes = [
                tuple(side / POINT for side in document.get_page_size(n)) for n in range(len(document))
            ]
            self.letters: list[Letter] = []
            self.texts: list[str] = []
            for number in range(len(document)):
                self._read(document, number)

    def _read(self, document: pypdfium2.PdfDocument, number: int) -> None:
        page = document[number]
        words = page.get_textpage()
        self.texts.append(words.get_text_bounded())
        height = page.get_height()
        for index in range(words.count_chars()):
            text = words.get_text_range(index, 1)
            text = "-" if text in BROKEN_HYPHENS else text
            if text.strip():
                left, bottom, right, top = words.get_charbox(index)
                box = (left, height - top, right, height - bottom)
                self.letters.append(Letter(number, text, *(side / POINT for side in box)))
        words.close()
        page.close()

    @property
    def text(self) -> str:
        return "\n".join(self.texts)

    @property
    def bare(self) -> str:
        """The sheet's own text, without what repeats on every page, and without spaces: a wrapped value is whole."""
        return "".join(
            letter.text
            for letter in self.letters
            if letter.y0 > TOP and letter.y1 < self.sizes[letter.page][1] - BOTTOM
        )

    def outside(self, *, margin: float) -> list[Letter]:
        """Characters that stand nearer to an edge of the sheet than `margin` mm."""
        return [
            letter
            for letter in self.letters
            if letter.x0 < margin - OVERHANG
            or letter.y0 < 5
            or letter.x1 > self.sizes[letter.page][0] - margin + OVERHANG
            or letter.y1 > self.sizes[letter.page][1] - 5
        ]

    def colliding(self) -> list[tuple[Letter, Letter]]:
        """Pairs of characters printed over each other."""
        near: dict[tuple[int, int, int], list[Letter]] = defaultdict(list)
        found = []
        for letter in self.letters:
            if letter.text in ".,;:'’-–_·":
                continue
            cell = (letter.page, int(letter.x0 // 5), int(letter.y0 // 5))
            for dx in (-1, 0, 1):
                for dy in (-1, 0, 1):
                    others = near.get((cell[0], cell[1] + dx, cell[2] + dy), ())
                    found += [(other, letter) for other in others if _overlap(other, letter)]
            near[cell].append(letter)
        return found


def _overlap(a: Letter, b: Letter) -> bool:
    """Whether two characters share a good part of the smaller one's box."""
    wide = min(a.x1, b.x1) - max(a.x0, b.x0)
    high = min(a.y1, b.y1) - max(a.y0, b.y0)
    if wide <= 0 or high <= 0 or (a.text in LIGATED and (a.x0, a.x1) == (b.x0, b.x1)):
        return False
    smaller = min((a.x1 - a.x0) * (a.y1 - a.y0), (b.x1 - b.x0) * (b.y1 - b.y0))
    return smaller > 0 and wide * high > 0.35 * smaller


def unseen(pdf: bytes, *, dpi: int = 130) -> list[Letter]:
    """Characters that the file holds but the print does not show, as when something is cut off."""
    paper, scale = Paper(pdf), dpi / 25.4
    lost = []
    with pypdfium2.PdfDocument(pdf) as document:
        for number in range(len(document)):
            page = document[number]
            image = page.render(scale=dpi / 72, grayscale=True).to_numpy()
            page.close()
            for letter in (each for each in paper.letters if each.page == number):
                top, bottom = int(letter.y0 * scale), int(letter.y1 * scale) + 2
                left, right = int(letter.x0 * scale), int(letter.x1 * scale) + 2
                patch = image[max(top, 0) : bottom, max(left, 0) : right]
                if not patch.size or patch.min() > 215:
                    lost.append(letter)
    return lost
