"""What is told of a figure that follows from others: the figure, how well it is known, why, and from where."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.millimetres import format_millimetres
from labcases.prosthodontics.provenance import Source
from labcases.prosthodontics.quantities import QUANTITIES
from labcases.prosthodontics.wording import Words, figure

# Half the width of the interval that holds some 95 in 100, in standard uncertainties.
COVERAGE = 1.96
# What the core computes for one side from a figure of the whole arch.
OF_ONE_SIDE = {"depth": "arch_depth", "canine_depth": "canine_eminence_depth"}
SIGNS = {"deg": "°", "": ""}


@dataclass(frozen=True, kw_only=True)
class Derived:
    """One figure as printed. `spread`: ± of some 95 in 100, empty where it is not known."""

    label: str
    figure: str
    sign: str
    why: str
    source: str
    spread: str = ""

    @property
    def words(self) -> str:
        """The figure with its unit and how well it is known: "8.0 g ± 0.4"."""
        known = f" ± {self.spread}" if self.spread else ""
        return f"{self.figure}{self.sign}{known}"


@dataclass(frozen=True, kw_only=True)
class Ranked:
    """One line of a list in order of fitness: its name, how far it is off, and why."""

    name: str
    misfit: str
    why: str


@dataclass(frozen=True, kw_only=True)
class Block:
    """Figures that belong together. `calculator` opens the same sum with `given`, to be changed at will."""

    title: str
    arch: str = ""
    lines: tuple[Derived, ...] = ()
    remarks: tuple[str, ...] = ()
    ranked: tuple[Ranked, ...] = ()
    calculator: str = ""
    given: tuple[tuple[str, str], ...] = ()

    @property
    def is_empty(self) -> bool:
        return not (self.lines or self.remarks or self.ranked)


def derived(
    label: str,
    value: float,
    unit: str,
    *,
    why: str,
    source: Source,
    u: float | None = None,
    places: int = 1,
) -> Derived:
    """A figure of the core in words; `u` is its standard uncertainty in `unit`."""
    return Derived(
        label=str(label),
        figure=number(value, places),
        sign=SIGNS.get(unit, f" {unit}"),
        spread=number(COVERAGE * u, places) if u else "",
        why=str(why),
        source=str(source.words),
    )


def number(value: float | Decimal, places: int = 1) -> str:
    return format_millimetres(Decimal(str(value)), places=places)


def name_of(field: str) -> str:
    """A field of a refusal as people call it."""
    for side in ("left", "right"):
        field = OF_ONE_SIDE.get(field.removesuffix(f"_{side}"), field)
    if field in QUANTITIES:
        return QUANTITIES[field].label
    plain = field.replace("_", " ")
    return plain[:1].upper() + plain[1:]


def refusal_in_words(error: InputError) -> str:
    """Why the figures make no shape, as a remark: which figure, and what would be possible."""
    value = "" if error.value is None else f" {figure(str(error.value))}"
    name = f"{name_of(error.field)}{value}"
    return Words("{figure}: possible is {allowed}.").of(figure=name, allowed=error.allowed)


def as_given(values: Mapping[str, object]) -> tuple[tuple[str, str], ...]:
    """Inputs of a calculator as its form takes them; what is not known is left out."""
    return tuple((name, _typed(value)) for name, value in values.items() if value is not None)


def _typed(value: object) -> str:
    return f"{round(value, 3):g}" if isinstance(value, float) else str(value)


def listed(names: Iterable[str]) -> str:
    """Names in a row: "a, b and c"."""
    *most, last = names
    return Words("{names} and {last}").of(names=", ".join(most), last=last) if most else last
