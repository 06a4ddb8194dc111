"""What follows from figures typed on a clinic record, for the clinician to look at before anything is sent."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from labcases.measurements.rules import freeway_from
from labcases.prosthodontics.errors import LabCasesError
from labcases.prosthodontics.millimetres import format_millimetres
from labcases.prosthodontics.provenance import Source
from labcases.prosthodontics.specification.lines import with_unit
from labcases.prosthodontics.vertical import FreewaySpace, RimChange, mean_of, rim_changes_beside
from labcases.prosthodontics.vertical.freeway import (
    EVIDENCE,
    FREEWAY_SOURCE,
    IDENTITY_SOURCE,
    SKIN_MARK_SCATTER,
    SKIN_MARK_SOURCE,
    Standing,
)
from labcases.prosthodontics.vertical.hinge import DISTANCE_SOURCE, HINGE_DISTANCES, HINGE_SOURCE

HALF_A_TENTH = 0.05
STAYS = "as it is"
# The rim in front as it was measured when it left the laboratory, by arch and name.
Made = Mapping[tuple[str, str], Decimal]


@dataclass(frozen=True)
class Step:
    """What a rim gets at one region, in words, with the region's distance from the hinge axis in mm.

    `upper` is empty where the upper rim stays. `spread`: ± of some 95 in 100, mm. `change`: of the lower rim, mm.
    """

    region: str
    distance: float
    words: str
    upper: str = ""
    spread: Decimal = Decimal(0)
    change: Decimal = Decimal(0)

    @property
    def both(self) -> str:
        """What either rim gets; a rim that stays is left out."""
        rims = (("upper", self.upper), ("lower", self.words))
        said = [f"{rim} {words}" for rim, words in rims if words not in ("", STAYS)]
        return ", ".join(said) or STAYS


@dataclass(frozen=True)
class Way:
    """One way to the space that is aimed at: which rim changes, and by how much where."""

    title: str
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class Mean:
    """The mean of repeats (mm), its standard uncertainty and how many there were."""

    value: Decimal
    u: Decimal
    n: int

    @property
    def words(self) -> str:
        return f"{with_unit(self.value, 'mm')} ({'one reading' if self.n == 1 else f'{self.n} readings'})"


@dataclass(frozen=True)
class Freeway:
    """The freeway space with its range, and what the rims would change to come to the middle of the range.

    `steps` are those of the lower rim alone; `others` are the further ways there.
    """

    space: FreewaySpace
    rest: Mean
    occlusion: Mean
    usual: tuple[Decimal, Decimal]
    steps: tuple[Step, ...]
    others: tuple[Way, ...] = ()
    evidence: tuple[tuple[str, str, Source], ...] = EVIDENCE
    sources: tuple[Source, ...] = (IDENTITY_SOURCE, FREEWAY_SOURCE, SKIN_MARK_SOURCE)
    step_sources: tuple[Source, ...] = (HINGE_SOURCE, DISTANCE_SOURCE)

    @property
    def value(self) -> Decimal:
        return _tenths(self.space.value)

    @property
    def spread(self) -> Decimal:
        """Half the width of the 95 % interval, mm."""
        return _tenths(1.96 * self.space.u)

    @property
    def aim(self) -> Decimal:
        return sum(self.usual, Decimal(0)) / 2

    @property
    def is_inside(self) -> bool:
        return self.space.standing == Standing.INSIDE

    @property
    def standing(self) -> str:
        low, high = (format_millimetres(limit) for limit in self.usual)
        return f"{self.space.standing} of {low} to {high} mm"

    @property
    def why(self) -> str:
        return (
            f"At rest {self.rest.words} less in occlusion {self.occlusion.words}. The ± covers some 95 in 100 "
            f"such measurements; a single reading between marks on the skin is taken to scatter by "
            f"{SKIN_MARK_SCATTER:g} mm."
        )

    @property
    def formula(self) -> str:
        rest, occlusion = (format_millimetres(each.value, places=2) for each in (self.rest, self.occlusion))
        u_rest, u_occlusion = (format_millimetres(each.u, places=2) for each in (self.rest, self.occlusion))
        total = format_millimetres(Decimal(str(self.space.u)), places=2)
        space = format_millimetres(Decimal(str(self.space.value)), places=2)
        return f"{rest} − {occlusion} = {space} mm; u = √({u_rest}² + {u_occlusion}²) = {total} mm; ± 1.96 u"


def freeway_worked_out(
    rest: Sequence[Decimal],
    occlusion: Sequence[Decimal],
    *,
    usual: tuple[Decimal, Decimal],
    too_long: Decimal | None = None,
) -> Freeway | None:
    """From one to three readings of each (mm); None where one of the two is missing.

    `too_long`: by how much the upper rim shows more at rest than was wanted, where that is known.
    """
    if not rest or not occlusion:
        return None
    space = freeway_from(rest, occlusion, usual=usual)
    aim = float(sum(usual, Decimal(0)) / 2)
    lower = _steps(space, aim, upper=0.0)
    others = tuple(way for way in _other_ways(space, aim, too_long) if way.steps)
    return Freeway(space, _mean(rest), _mean(occlusion), usual, lower, others)


def _other_ways(space: FreewaySpace, aim: float, too_long: Decimal | None) -> Iterator[Way]:
    change = space.value - aim
    if too_long:
        title = "If the upper rim is brought to the display that was wanted"
        yield Way(title, _steps(space, aim, upper=-float(too_long)))
    if abs(change) >= HALF_A_TENTH:
        yield Way("If the lower rim stays and the upper one changes", _steps(space, aim, upper=change))


def _steps(space: FreewaySpace, aim: float, *, upper: float) -> tuple[Step, ...]:
    """Nothing where the jaw would have to open further than it is long."""
    try:
        changes = rim_changes_beside(freeway=space.value, wanted=aim, upper=upper)
    except LabCasesError:
        return ()
    return tuple(_step(change, space.u, changes_upper=bool(upper)) for change in changes)


def _mean(values: Sequence[Decimal]) -> Mean:
    value, u = mean_of([float(each) for each in values])
    return Mean(round(Decimal(str(value)), 2).normalize(), Decimal(str(u)), len(values))


def _tenths(value: float) -> Decimal:
    return round(Decimal(str(value)), 1) + 0


def _step(change: RimChange, u: float, *, changes_upper: bool) -> Step:
    distance = HINGE_DISTANCES[change.region]
    return Step(
        change.region,
        distance,
        _in_words(change.lower),
        upper=_in_words(change.upper) if changes_upper else "",
        spread=_tenths(1.96 * u * distance / HINGE_DISTANCES["incisor"]),
        change=_tenths(change.lower),
    )


def _in_words(change: float) -> str:
    amount = _tenths(change)
    more_or_less = "more" if amount > 0 else "less"
    return f"{with_unit(abs(amount), 'mm')} {more_or_less}" if amount else STAYS


def display_in_words(shown: Decimal | None, wanted: Decimal | None, made: Made) -> str:
    """How the rim that shows compares with the display that was wanted, and the height that would give it (mm)."""
    if shown is None or wanted is None:
        return ""
    difference = shown - wanted
    if difference == 0:
        return f"The rim shows {with_unit(shown, 'mm')} at rest, as was wanted."
    side = "longer" if difference > 0 else "shorter"
    words = (
        f"The rim shows {with_unit(shown, 'mm')} at rest; {with_unit(wanted, 'mm')} was wanted. "
        f"In front it is {with_unit(abs(difference), 'mm')} {side} than that."
    )
    height = made.get(("maxillary", "anterior_height"))
    if height is None:
        return words
    return (
        f"{words} It left the laboratory {with_unit(height, 'mm')} high in front: "
        f"{format_millimetres(height)} {'−' if difference > 0 else '+'} {format_millimetres(abs(difference))} = "
        f"{with_unit(height - difference, 'mm')}."
    )
