"""Is a measured figure inside its limits, and can one know it yet?

Conformance probability after JCGM 106:2012; the guard band g = 1.645 u after ISO 14253-1:2017 (both
recalled, not yet verified). Inside or outside is a statement about configured limits, never a clinical
verdict.
"""

import math
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.millimetres import format_millimetres
from labcases.prosthodontics.wording import Words

COVERAGE = Decimal("1.645")  # one-sided 95 % of the normal distribution
ENOUGH_REPEATS = 3


class Verdict(StrEnum):
    """What is said about a measured figure against its configured limits."""

    WITHIN = "within"
    OUTSIDE = "outside"
    MEASURE_AGAIN = "measure again"

    @property
    def words(self) -> str:
        return _VERDICT_WORDS[self]


_VERDICT_WORDS = {
    Verdict.WITHIN: Words("within"),
    Verdict.OUTSIDE: Words("outside"),
    Verdict.MEASURE_AGAIN: Words("measure again"),
}


class Rule(StrEnum):
    """How the uncertainty of a reading enters the decision; the ticket prints the chosen rule's `.words`."""

    SIMPLE = "simple_acceptance"
    GUARD = "guard_band"

    @property
    def words(self) -> str:
        return _RULE_WORDS[self]


_RULE_WORDS = {
    Rule.SIMPLE: Words(
        "Simple acceptance: the mean as read decides. Fewer than three readings that come closer to a "
        "limit than 1.645 times their standard uncertainty are taken again first."
    ),
    Rule.GUARD: Words(
        "Guard band: within only if inside both limits by 1.645 times the standard uncertainty, outside "
        "only if beyond a limit by as much; between the two, measure again."
    ),
}


@dataclass(frozen=True)
class Judgement:
    """`distance` to the nearest limit (+ inside), probability of conformity, guard band."""

    verdict: Verdict
    distance: Decimal
    probability: float
    guard: Decimal
    words: str


def judge(
    value: Decimal, *, lower: Decimal | None, upper: Decimal | None, u: Decimal, rule: Rule, repeats: int
) -> Judgement:
    """The verdict on a mean of `repeats` readings with standard uncertainty `u`; a limit belongs to the
    inside.

    One limit may be None. Raises `InputError` where there is no limit, or none that can be kept.
    """
    _check(lower, upper, u)
    room = _minus(upper, lower)
    distance, guard = distance_inside(value, lower=lower, upper=upper), COVERAGE * u
    verdict = _guarded(distance, guard) if rule is Rule.GUARD else _simple(distance, guard, repeats)
    return Judgement(
        verdict=verdict,
        distance=distance,
        probability=conformance_probability(value, lower=lower, upper=upper, u=u),
        guard=guard,
        words=_words(verdict, distance, guard, narrow=room is not None and room < 2 * guard),
    )


def conformance_probability(
    value: Decimal, *, lower: Decimal | None, upper: Decimal | None, u: Decimal
) -> float:
    """p = Φ((U - y)/u) - Φ((L - y)/u), JCGM 106:2012; 0 or 1 where the value is known exactly."""
    if u == 0:
        return float(distance_inside(value, lower=lower, upper=upper) >= 0)
    below_upper = 1.0 if upper is None else _phi(float((upper - value) / u))
    below_lower = 0.0 if lower is None else _phi(float((lower - value) / u))
    return below_upper - below_lower


def distance_inside(value: Decimal, *, lower: Decimal | None, upper: Decimal | None) -> Decimal:
    """How far inside the nearest limit a value lies; negative outside."""
    rooms = [room for room in (_minus(value, lower), _minus(upper, value)) if room is not None]
    return min(rooms)


def _minus(a: Decimal | None, b: Decimal | None) -> Decimal | None:
    return None if a is None or b is None else a - b


def _phi(z: float) -> float:
    """Standard normal distribution."""
    return 0.5 * math.erfc(-z / math.sqrt(2))


def _check(lower: Decimal | None, upper: Decimal | None, u: Decimal) -> None:
    if lower is None and upper is None:
        raise InputError("limits", None, Words("a lower limit, an upper limit or both"))
    if lower is not None and upper is not None and lower > upper:
        allowed = Words("a lower limit that is not above the upper one")
        raise InputError("limits", f"{lower} to {upper}", allowed)
    if not (u.is_finite() and u >= 0):
        raise InputError("uncertainty", u, Words("0 or more"))


def _simple(distance: Decimal, guard: Decimal, repeats: int) -> Verdict:
    if repeats < ENOUGH_REPEATS and abs(distance) < guard:
        return Verdict.MEASURE_AGAIN
    return Verdict.WITHIN if distance >= 0 else Verdict.OUTSIDE


def _guarded(distance: Decimal, guard: Decimal) -> Verdict:
    if distance >= guard:
        return Verdict.WITHIN
    return Verdict.OUTSIDE if distance < -guard else Verdict.MEASURE_AGAIN


def _words(verdict: Verdict, distance: Decimal, guard: Decimal, *, narrow: bool) -> str:
    size, doubt = format_millimetres(abs(distance), places=2), format_millimetres(guard, places=2)
    if verdict is Verdict.WITHIN:
        return Words("Within the configured limits, {size} from the nearer one.").of(size=size)
    if verdict is Verdict.OUTSIDE:
        return Words("Outside the configured limits by {size}.").of(size=size)
    doubtful = _DOUBTFUL_INSIDE if distance >= 0 else _DOUBTFUL_OUTSIDE
    words = doubtful.of(size=size, doubt=doubt)
    return f"{words} {_FINER}" if narrow else words


_DOUBTFUL_INSIDE = Words("{size} inside the nearer limit, but known only to ± {doubt}: measure again.")
_DOUBTFUL_OUTSIDE = Words("{size} outside the nearer limit, but known only to ± {doubt}: measure again.")
_FINER = Words("The limits lie closer together than this reading can tell; a finer instrument is needed.")
