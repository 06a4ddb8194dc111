"""Standard uncertainties of the inputs carried through any calculator.

By the Guide (JCGM 100:2008, recalled), the share of an input x with standard uncertainty u is half of the
difference that f(x + u) and f(x − u) make; independent shares add by squares.
"""

from __future__ import annotations

from dataclasses import replace
from math import hypot

from labcases.prosthodontics.calculators.definition import Calculator
from labcases.prosthodontics.calculators.inputs import Given
from labcases.prosthodontics.calculators.results import Result, Value
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.wording import Words


def compute_with_uncertainty(calculator: Calculator, given: Given) -> Result:
    """The result, every figure with the standard uncertainty that the uncertain inputs give it."""
    result = calculator.compute(given)
    shares: dict[str, list[float]] = {}
    for name, u in given.uncertain.items():
        if u == 0:
            continue
        for value, share in _shares(calculator, given, result, name, u).items():
            shares.setdefault(value, []).append(share)
    if not shares:
        return result
    return replace(
        result, values=tuple(_widened(value, shares.get(value.name, [])) for value in result.values)
    )


def _shares(calculator: Calculator, given: Given, result: Result, name: str, u: float) -> dict[str, float]:
    above, below = _moved(calculator, given, name, u), _moved(calculator, given, name, -u)
    if above is None and below is None:
        raise InputError(f"{name}.u", u, Words("an uncertainty small enough that the figure stays possible"))
    high, low = _figures(above or result), _figures(below or result)
    # With one side out of bounds the other side's difference stands for the share.
    span = 2.0 if above and below else 1.0
    return {key: abs(high[key] - low[key]) / span for key in _figures(result) if key in high and key in low}


def _moved(calculator: Calculator, given: Given, name: str, step: float) -> Result | None:
    try:
        return calculator.compute(Given({**given.values, name: given.number(name) + step}))
    except InputError:
        return None


def _figures(result: Result) -> dict[str, float]:
    return {value.name: value.value for value in result.values if not isinstance(value.value, str)}


def _widened(value: Value, shares: list[float]) -> Value:
    if not shares:
        return value
    return replace(value, u=hypot(value.u or 0.0, *shares))
