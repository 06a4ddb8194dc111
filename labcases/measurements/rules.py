"""Holding a stored figure against a line of a specification."""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from labcases.measurements.models import Reading, SpecificationLine
from labcases.prosthodontics.conformity import Judgement, Rule, judge
from labcases.prosthodontics.quantities import quantity
from labcases.prosthodontics.uncertainty import Estimate, instrument, mean_and_spread, standard_uncertainty
from labcases.prosthodontics.vertical import FreewaySpace, freeway_space, mean_of
from labcases.prosthodontics.wording import Words

# Units that are read on an instrument; counts and minutes are known exactly.
READ_ON_AN_INSTRUMENT = ("mm", "deg")
REST, OCCLUSION = "vertical_dimension_rest", "vertical_dimension_occlusion"


def estimate_for(
    quantity_name: str, values: Sequence[Decimal], instrument_name: str, *, repeatability: Decimal
) -> Estimate:
    """The mean of the repeats with its standard uncertainty; zero for what is counted rather than read."""
    if quantity(quantity_name).unit in READ_ON_AN_INSTRUMENT:
        return standard_uncertainty(values, instrument(instrument_name), repeatability=repeatability)
    mean, spread = mean_and_spread(values)
    return Estimate(
        mean, Decimal(0), len(values), spread, (), None, Words("Counted, not read on an instrument.")
    )


def hold_against(
    line: SpecificationLine, *, value: Decimal, u: Decimal, repeats: int, rule: str
) -> Judgement | None:
    """The verdict on a figure by one line; None where the line has no limits.

    A computed target is itself known only as well as the figures it was computed from, so both uncertainties count.
    """
    if line.lower is None and line.upper is None:
        return None
    both = (u**2 + (line.uncertainty or Decimal(0)) ** 2).sqrt()
    return judge(value, lower=line.lower, upper=line.upper, u=both, rule=Rule(rule), repeats=repeats)


def judgement_of(reading: Reading, line: SpecificationLine | None) -> Judgement | None:
    """The verdict on a stored reading by the line that holds now, which may be of a later revision than then."""
    if line is None:
        return None
    return hold_against(
        line,
        value=reading.value,
        u=reading.uncertainty or Decimal(0),
        repeats=len(reading.repeats),
        rule=line.specification.rule,
    )


def plain_figure(value: Decimal) -> str:
    """A stored figure as people write it: without the zeros that its column added."""
    return f"{value.normalize():f}"


def freeway_space_of(readings: Iterable[Reading], *, usual: tuple[Decimal, Decimal]) -> FreewaySpace | None:
    """The freeway space (mm) of the latest stage at which both vertical dimensions stand; None without such a pair.

    Only figures of one sitting count together: marks on the skin are set anew each time. `readings` run oldest first.
    """
    taken: dict[int, dict[str, Reading]] = {}
    for reading in readings:
        taken.setdefault(reading.stage_id, {})[reading.quantity] = reading
    pairs = [each for each in taken.values() if REST in each and OCCLUSION in each]
    if not pairs:
        return None
    return freeway_from(*(_repeats(pairs[-1][name]) for name in (REST, OCCLUSION)), usual=usual)


def freeway_from(
    rest: Sequence[Decimal], occlusion: Sequence[Decimal], *, usual: tuple[Decimal, Decimal]
) -> FreewaySpace:
    """Rest less occlusion from one to three readings (mm) of each, with what their scatter makes of it."""
    (at_rest, u_rest), (at_occlusion, u_occlusion) = (
        mean_of([float(value) for value in values]) for values in (rest, occlusion)
    )
    low, high = (float(limit) for limit in usual)
    return freeway_space(
        rest=at_rest, occlusion=at_occlusion, u_rest=u_rest, u_occlusion=u_occlusion, usual=(low, high)
    )


def _repeats(reading: Reading) -> list[Decimal]:
    return [Decimal(text) for text in reading.repeats]
