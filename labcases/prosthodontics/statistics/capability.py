"""How well a stable process fits its tolerance."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from scipy.stats import chi2, norm

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.wording import Words

# The NIST/SEMATECH handbook 6.1.6 asks for about 50 independent values of a stable process at the least.
FEWEST_ADVISED = 50


@dataclass(frozen=True)
class Capability:
    """Cp and Cpk with 95 % intervals, where the number of values is known."""

    cp: float
    cpk: float
    cp_interval: tuple[float, float] | None
    cpk_interval: tuple[float, float] | None
    notes: tuple[str, ...]


def capability(*, mean: float, sigma: float, lower: float, upper: float, n: int | None = None) -> Capability:
    """Cp = (U − L) / 6σ, Cpk = min(U − m, m − L) / 3σ. NIST handbook 6.1.6 (recalled)."""
    if not lower < upper:
        raise InputError("lower", lower, Words("less than the upper limit, {upper:g}").of(upper=upper))
    if sigma <= 0:
        raise InputError("sigma", round(sigma, 6), Words("more than 0"))
    cp, cpk = (upper - lower) / (6 * sigma), min(upper - mean, mean - lower) / (3 * sigma)
    if n is None:
        return Capability(cp, cpk, None, None, (Words("The number of values is not given: no interval."),))
    if n < 2:
        raise InputError("n", n, Words("at least 2 values"))
    notes = (
        ()
        if n >= FEWEST_ADVISED
        else (Words("{n} values are few; at least {advised} are advised.").of(n=n, advised=FEWEST_ADVISED),)
    )
    return Capability(cp, cpk, _cp_interval(cp, n), _cpk_interval(cpk, n), notes)


def _cp_interval(cp: float, n: int) -> tuple[float, float]:
    low, high = chi2.ppf([0.025, 0.975], n - 1)
    return cp * sqrt(low / (n - 1)), cp * sqrt(high / (n - 1))


def _cpk_interval(cpk: float, n: int) -> tuple[float, float]:
    reach = float(norm.ppf(0.975)) * sqrt(1 / (9 * n) + cpk**2 / (2 * (n - 1)))
    return cpk - reach, cpk + reach
