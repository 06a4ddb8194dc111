"""Arc length along one half of an arch, by Gauss–Legendre quadrature, and its inverse."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from labcases.prosthodontics.arch.halves import Array, Half

PANELS = 96
# The beta curve is singular where it meets its base line; nodes crowd there by this power.
CROWDING = 4
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(5)


@dataclass(frozen=True)
class Trace:
    """Arc lengths (mm) from the apex along one half."""

    half: Half

    @cached_property
    def _cumulative(self) -> Array:
        edges = np.linspace(0.0, 1.0, PANELS + 1)
        pieces = self._between(edges[:-1], edges[1:])
        return np.concatenate(([0.0], np.cumsum(pieces)))

    @property
    def length(self) -> float:
        """Length of the whole half, mm."""
        return float(self._cumulative[-1])

    def length_to(self, t: Array) -> Array:
        """Arc length from the apex to the parameter `t`, mm."""
        fraction = 1 - np.maximum(1 - t / self.half.end, 0.0) ** (1 / CROWDING)
        return self._length_to_fraction(fraction)

    def parameter_at(self, s: Array) -> Array:
        """Parameter at which the arc length from the apex is `s` (mm), to 1e-8 mm."""
        panel = np.clip(np.searchsorted(self._cumulative, s, side="right") - 1, 0, PANELS - 1)
        low, high = panel / PANELS, (panel + 1) / PANELS
        within = self._cumulative[panel + 1] - self._cumulative[panel]
        # Where a curve runs flat into its base line the last panel may be shorter than a number can tell.
        share = np.divide(s - self._cumulative[panel], within, out=np.zeros_like(within), where=within > 0)
        fraction = low + share / PANELS
        for _ in range(60):
            error = self._length_to_fraction(fraction) - s
            if np.all(np.abs(error) < 1e-8):
                break
            low, high = np.where(error < 0, fraction, low), np.where(error < 0, high, fraction)
            step = fraction - error / np.maximum(self._speed(fraction), 1e-12)
            fraction = np.where((step > low) & (step < high), step, (low + high) / 2)
        return self._parameter(np.where(s >= self.length, 1.0, np.where(s <= 0, 0.0, fraction)))

    def _length_to_fraction(self, fraction: Array) -> Array:
        panel = np.clip(np.floor(fraction * PANELS).astype(int), 0, PANELS - 1)
        lengths: Array = self._cumulative[panel] + self._between(panel / PANELS, fraction)
        return lengths

    def _between(self, low: Array, high: Array) -> Array:
        middle, reach = (low + high) / 2, (high - low) / 2
        speeds = self._speed(middle[..., None] + reach[..., None] * _NODES)
        pieces: Array = reach * (speeds @ _WEIGHTS)
        return pieces

    def _parameter(self, fraction: Array) -> Array:
        return self.half.end * (1 - (1 - fraction) ** CROWDING)

    def _speed(self, fraction: Array) -> Array:
        dx, ddrop = self.half.velocity(self._parameter(fraction))
        return np.hypot(dx, ddrop) * self.half.end * CROWDING * (1 - fraction) ** (CROWDING - 1)
