"""Intervals for a proportion, such as remakes among finished cases."""

from __future__ import annotations

from math import sqrt

from scipy.stats import beta, norm

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.wording import Words


def wilson(count: int, n: int, *, confidence: float = 0.95) -> tuple[float, float]:
    """Wilson score interval of count/n; sensible for few cases and for none."""
    _check(count, n, confidence)
    z = float(norm.ppf((1 + confidence) / 2))
    share, square = count / n, z * z / n
    middle = (share + square / 2) / (1 + square)
    reach = z * sqrt(share * (1 - share) / n + square / (4 * n)) / (1 + square)
    return (0.0 if count == 0 else middle - reach), (1.0 if count == n else middle + reach)


def clopper_pearson(count: int, n: int, *, confidence: float = 0.95) -> tuple[float, float]:
    """Clopper–Pearson interval of count/n: never covers less than promised, so wider than Wilson's."""
    _check(count, n, confidence)
    tail = (1 - confidence) / 2
    low = 0.0 if count == 0 else float(beta.ppf(tail, count, n - count + 1))
    high = 1.0 if count == n else float(beta.ppf(1 - tail, count + 1, n - count))
    return low, high


def _check(count: int, n: int, confidence: float) -> None:
    if n < 1:
        raise InputError("n", n, Words("at least 1"))
    if not 0 <= count <= n:
        raise InputError("count", count, Words("0 to {n}").of(n=n))
    if not 0.5 <= confidence < 1:
        raise InputError("confidence", round(confidence, 4), Words("0.5 up to, but not, 1"))
