"""A laboratory's own list of tooth moulds: reading it, and ranking it against what a case asks for."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import sqrt

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.millimetres import parse_millimetres
from labcases.prosthodontics.wording import Words

COLUMNS = ("mould", "six_anterior_width", "central_width", "central_length", "posterior_sum")
FIGURES = COLUMNS[1:]
LABELS = {
    "six_anterior_width": Words("six front teeth"),
    "central_width": Words("central width"),
    "central_length": Words("central length"),
    "posterior_sum": Words("posterior sum"),
}
LIMITS = {
    "six_anterior_width": (Decimal(25), Decimal(70)),
    "central_width": (Decimal(4), Decimal(13)),
    "central_length": (Decimal(5), Decimal(16)),
    "posterior_sum": (Decimal(15), Decimal(50)),
}
# A misfit of this many millimetres counts as much in one figure as in another (the house's choice).
SCALES = {"six_anterior_width": 2.0, "central_width": 0.5, "central_length": 0.5, "posterior_sum": 2.0}
LONGEST_LIST = 2000
LONGEST_NAME = 60


class FaultyMoulds(InputError):
    """A list with faults in its lines: `faults` has one refusal for each, in the order of the lines."""

    def __init__(self, faults: Sequence[InputError]) -> None:
        super().__init__(faults[0].field, faults[0].value, faults[0].allowed)
        self.faults = tuple(faults)
        self.args = (self.faults,)  # so that the error survives copying between processes


@dataclass(frozen=True)
class Mould:
    """One mould of the list, mm; None where the list says nothing."""

    name: str
    six_anterior_width: Decimal | None = None
    central_width: Decimal | None = None
    central_length: Decimal | None = None
    posterior_sum: Decimal | None = None


@dataclass(frozen=True)
class Wish:
    """What the case asks for, mm. posterior_space is a limit, the others are aimed at."""

    six_anterior_width: float | None = None
    central_width: float | None = None
    central_length: float | None = None
    posterior_space: float | None = None


@dataclass(frozen=True)
class RankedMould:
    """A mould with its distance from the wish (0 fits exactly) and why, in words."""

    mould: Mould
    misfit: float
    too_long: bool
    unknown: int
    reasons: tuple[str, ...]


def read_moulds(text: str) -> tuple[Mould, ...]:
    """The moulds of a CSV text with the columns of COLUMNS, in any order, comma or semicolon between them.

    Figures follow the millimetre rules; an empty one is unknown. InputError for what is no such list;
    FaultyMoulds names line and column of every fault, not of the first alone.
    """
    rows = _rows(text)
    header = [name.strip().lower() for name in rows[0][1]]
    _check_header(header)
    moulds: dict[str, Mould] = {}
    faults: list[InputError] = []
    for number, cells in rows[1:]:
        try:
            mould = _mould(number, header, cells)
        except FaultyMoulds as refused:
            faults += refused.faults
            continue
        if mould.name.casefold() in moulds:
            faults.append(
                InputError(
                    Words("line {number}, mould").of(number=number), mould.name, Words("each mould once")
                )
            )
        moulds[mould.name.casefold()] = mould
    if faults:
        raise FaultyMoulds(faults)
    if not moulds:
        raise InputError(
            "moulds", str(Words("an empty list")), Words("at least one mould below the heading line")
        )
    return tuple(moulds.values())


def write_moulds(moulds: Iterable[Mould]) -> str:
    """A list as CSV text that reads as the same list."""
    written = io.StringIO(newline="")
    writer = csv.writer(written, lineterminator="\n")
    writer.writerow(COLUMNS)
    for mould in moulds:
        figures = (getattr(mould, name) for name in FIGURES)
        texts = ["" if figure is None else f"{figure.normalize():f}" for figure in figures]
        writer.writerow([mould.name, *texts])
    return written.getvalue()


def rank_moulds(moulds: Sequence[Mould], wish: Wish) -> tuple[RankedMould, ...]:
    """The list, best fit first.

    Misfit is the root of the mean square of (figure − wish) / scale over the wishes that the mould states.
    Moulds whose posterior teeth are longer than the space come last, whatever their front teeth; among equals
    the one whose figures are more complete, then by name.
    """
    if wish == Wish():
        names = ", ".join((*FIGURES[:3], "posterior_space"))
        raise InputError("wish", str(Words("nothing")), Words("at least one of {names}").of(names=names))
    ranked = [_ranked(mould, wish) for mould in moulds]
    return tuple(sorted(ranked, key=lambda item: (item.too_long, item.misfit, item.unknown, item.mould.name)))


def _ranked(mould: Mould, wish: Wish) -> RankedMould:
    reasons, squares, unknown = [], [], 0
    for name in FIGURES[:3]:
        wanted, offered = getattr(wish, name), getattr(mould, name)
        if wanted is None:
            continue
        if offered is None:
            unknown += 1
            reasons.append(Words("{label} not in the list").of(label=LABELS[name]))
            continue
        gap = float(offered) - wanted
        squares.append((gap / SCALES[name]) ** 2)
        reasons.append(
            Words("{label} {offered} mm, {gap:+.2f} mm against the wish").of(
                label=LABELS[name], offered=offered, gap=gap
            )
        )
    space, length = wish.posterior_space, mould.posterior_sum
    too_long = space is not None and length is not None and float(length) > space
    if space is not None:
        unknown += length is None
        reasons.append(_posterior_words(space, length))
        if length is not None and not too_long:
            squares.append(((space - float(length)) / SCALES["posterior_sum"] / 2) ** 2)
    misfit = sqrt(sum(squares) / len(squares)) if squares else float("inf")
    return RankedMould(mould, misfit, too_long, unknown, tuple(reasons))


def _posterior_words(space: float, length: Decimal | None) -> str:
    if length is None:
        return Words("posterior sum not in the list")
    spare = space - float(length)
    if spare < 0:
        return Words(
            "posterior sum {length} mm is {spare:.2f} mm longer than the space: leave out a tooth or take a "
            "smaller mould"
        ).of(length=length, spare=-spare)
    return Words("posterior sum {length} mm leaves {spare:.2f} mm of the space").of(
        length=length, spare=spare
    )


def _rows(text: str) -> list[tuple[int, list[str]]]:
    text = text.removeprefix("\ufeff")
    heading = text.split("\n", 1)[0]
    delimiter = ";" if heading.count(";") > heading.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        rows = [(reader.line_num, cells) for cells in reader if any(cell.strip() for cell in cells)]
    except csv.Error as error:
        raise InputError(
            "moulds",
            Words("line {number}").of(number=reader.line_num),
            Words("well-formed CSV ({error})").of(error=error),
        ) from None
    if not rows:
        raise InputError(
            "moulds",
            str(Words("an empty list")),
            Words("a heading line: {columns}").of(columns=", ".join(COLUMNS)),
        )
    if len(rows) > LONGEST_LIST + 1:
        raise InputError("moulds", len(rows) - 1, Words("at most {most} moulds").of(most=LONGEST_LIST))
    return rows


def _check_header(header: list[str]) -> None:
    for name in header:
        if name not in COLUMNS:
            raise InputError("heading", name, ", ".join(COLUMNS))
        if header.count(name) > 1:
            raise InputError("heading", name, Words("each column once"))
    if "mould" not in header:
        raise InputError("heading", ", ".join(header), Words("a column called mould"))


def _mould(number: int, header: list[str], cells: list[str]) -> Mould:
    if len(cells) != len(header):
        wrong = InputError(
            Words("line {number}").of(number=number),
            Words("{number} cells").of(number=len(cells)),
            Words("{number} cells, as in the heading").of(number=len(header)),
        )
        raise FaultyMoulds([wrong])
    values = dict(zip(header, (cell.strip() for cell in cells), strict=True))
    name = values.pop("mould")
    faults, figures = [], {}
    if not name or len(name) > LONGEST_NAME:
        faults.append(
            InputError(
                Words("line {number}, mould").of(number=number),
                name,
                Words("a name of 1 to {longest} characters").of(longest=LONGEST_NAME),
            )
        )
    for key, cell in values.items():
        try:
            figures[key] = _figure(number, key, cell)
        except InputError as refused:
            faults.append(refused)
    if faults:
        raise FaultyMoulds(faults)
    return Mould(name, **figures)


def _figure(number: int, name: str, cell: str) -> Decimal | None:
    if not cell:
        return None
    low, high = LIMITS[name]
    try:
        value = parse_millimetres(cell)
    except InputError as error:
        raise InputError(
            Words("line {number}, {name}").of(number=number, name=name), cell, error.allowed
        ) from None
    if not low <= value <= high:
        raise InputError(
            Words("line {number}, {name}").of(number=number, name=name),
            cell,
            Words("{low} to {high} mm").of(low=low, high=high),
        )
    return value
