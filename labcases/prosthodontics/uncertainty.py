"""How well a reading is known: the instrument's share and the spread of the repeats.

After the Guide to the expression of uncertainty in measurement, JCGM 100:2008 (recalled, not yet verified;
the worked figures are checked): u² = Σ (c·u)², a maximum permissible error a counts as rectangular, a/√3, a
step q of the display as q/√12, repeats as s/√n; the effective degrees of freedom are those of Welch and
Satterthwaite.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words, in_a_sentence

# What one person scatters by on wax with one careful reading. The laboratory replaces it by its own figure.
DEFAULT_REPEATABILITY = Decimal("0.20")
REPEATABILITY_SOURCE = Source(Words("scatter of single readings on wax"), Provenance.MEMORY, "L")
_ERRORS = Source(
    Words("typical of the kind; the instrument's own certificate goes first"), Provenance.MEMORY, "M"
)
_COARSE = Source(Words("set wide on purpose"), Provenance.COMMON, "L")
_ROOT_3, _ROOT_12 = Decimal(3).sqrt(), Decimal(12).sqrt()


@dataclass(frozen=True)
class Instrument:
    """A kind of instrument: display step and maximum permissible error (±), both in `unit`."""

    label: str
    resolution: Decimal
    maximum_permissible_error: Decimal
    source: Source
    unit: str = "mm"


@dataclass(frozen=True)
class Contribution:
    """One named share of the standard uncertainty, in the reading's unit. No degrees of freedom: no limit."""

    name: str
    u: Decimal
    degrees_of_freedom: int | None = None


@dataclass(frozen=True)
class Estimate:
    """The mean of the repeats with its standard uncertainty; `spread` is the sample standard deviation."""

    value: Decimal
    u: Decimal
    n: int
    spread: Decimal | None
    contributions: tuple[Contribution, ...]
    degrees_of_freedom: Decimal | None
    why: str


@dataclass(frozen=True)
class Term:
    """One input of a sum: its coefficient (sign included) and its standard uncertainty."""

    coefficient: Decimal
    u: Decimal


def _kind(label: str, step: str, error: str, unit: str = "mm", source: Source = _ERRORS) -> Instrument:
    return Instrument(label, Decimal(step), Decimal(error), source, unit)


INSTRUMENTS: Mapping[str, Instrument] = MappingProxyType(
    {
        "digital_caliper": _kind(Words("Digital caliper"), "0.01", "0.02"),
        "vernier_caliper": _kind(Words("Vernier caliper"), "0.05", "0.05"),
        "depth_rod": _kind(Words("Depth rod of a digital caliper"), "0.01", "0.04"),
        "boley_gauge": _kind(Words("Boley gauge"), "0.1", "0.1"),
        "thickness_gauge": _kind(Words("Thickness gauge"), "0.1", "0.1"),
        "steel_rule": _kind(Words("Steel rule"), "0.5", "0.2"),
        "flexible_rule": _kind(Words("Flexible rule"), "0.5", "0.5"),
        "papillameter": _kind(Words("Papillameter"), "0.5", "0.5", source=_COARSE),
        "denture_gauge": _kind(Words("Denture gauge, papilla to edge"), "0.5", "0.5", source=_COARSE),
        "facial_gauge": _kind(Words("Facial height gauge"), "0.5", "1.0", source=_COARSE),
        "protractor": _kind(Words("Protractor"), "1", "1", "deg"),
        "plane_guide": _kind(Words("Occlusal plane guide, by eye"), "1", "2", "deg", _COARSE),
        "articulator_scale": _kind(Words("Articulator scale"), "1", "1", "deg"),
        "not_stated": _kind(Words("Not stated"), "0.5", "0.5", source=_COARSE),
        "not_stated_degrees": _kind(Words("Not stated"), "1", "2", "deg", _COARSE),
    }
)


def instrument(name: str) -> Instrument:
    """The instrument of that name; raises `InputError` that lists the names."""
    if name not in INSTRUMENTS:
        raise InputError("instrument", name, ", ".join(INSTRUMENTS))
    return INSTRUMENTS[name]


def instruments_for(unit: str) -> dict[str, Instrument]:
    """The instruments that read this unit, in the order of offering; none for counts and minutes."""
    return {name: each for name, each in INSTRUMENTS.items() if each.unit == unit}


def mean_and_spread(values: Sequence[Decimal]) -> tuple[Decimal, Decimal | None]:
    """Mean and sample standard deviation (n - 1); no spread for one value. `InputError` without values."""
    if not values:
        raise InputError("readings", [], Words("at least one reading"))
    n = len(values)
    mean = sum(values, Decimal(0)) / n
    if n == 1:
        return mean, None
    return mean, (sum(((value - mean) ** 2 for value in values), Decimal(0)) / (n - 1)).sqrt()


def standard_uncertainty(
    values: Sequence[Decimal], instrument: Instrument, *, repeatability: Decimal = DEFAULT_REPEATABILITY
) -> Estimate:
    """The mean of repeats taken with one instrument, and how well it is known (JCGM 100:2008).

    A single reading shows no scatter of its own: `repeatability`, the scatter of single readings, stands in.
    """
    mean, spread = mean_and_spread(values)
    n = len(values)
    scatter = _scatter(n, spread, repeatability)
    shares = (
        scatter,
        Contribution(Words("maximum permissible error"), instrument.maximum_permissible_error / _ROOT_3),
        Contribution(Words("resolution"), instrument.resolution / _ROOT_12),
    )
    u = combined([share.u for share in shares])
    return Estimate(
        mean, u, n, spread, shares, effective_degrees_of_freedom(shares), _why(n, instrument, spread)
    )


def combined(shares: Iterable[Decimal]) -> Decimal:
    """Root of the sum of squares of independent shares."""
    return sum((share * share for share in shares), Decimal(0)).sqrt()


def propagate(terms: Iterable[Term]) -> Decimal:
    """Standard uncertainty of a sum of independent inputs: √Σ(c·u)²."""
    return combined(term.coefficient * term.u for term in terms)


def effective_degrees_of_freedom(shares: Sequence[Contribution]) -> Decimal | None:
    """Welch–Satterthwaite: u⁴ / Σ(uᵢ⁴/νᵢ); None where no share is limited, or nothing scatters."""
    limited = sum(
        (share.u**4 / share.degrees_of_freedom for share in shares if share.degrees_of_freedom), Decimal(0)
    )
    return combined([share.u for share in shares]) ** 4 / limited if limited else None


def _scatter(n: int, spread: Decimal | None, repeatability: Decimal) -> Contribution:
    if spread is None:
        return Contribution(Words("usual scatter of a single reading"), repeatability)
    return Contribution(Words("scatter of the repeats"), spread / Decimal(n).sqrt(), n - 1)


def _why(n: int, instrument: Instrument, spread: Decimal | None) -> str:
    tool = Words("{label} (± {error}, step {resolution})").of(
        label=in_a_sentence(instrument.label),
        error=instrument.maximum_permissible_error,
        resolution=instrument.resolution,
    )
    if spread is None:
        return Words("One reading, {tool}; its scatter is the laboratory's usual one, not seen here.").of(
            tool=tool
        )
    return Words("Mean of {n} readings that scatter by {spread:.2f}, {tool}.").of(
        n=n, spread=spread, tool=tool
    )
