"""How width, position, height and inclination change along the rim, from the midline to a posterior end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from labcases.prosthodontics.arch.halves import Array
from labcases.prosthodontics.outline.plan import ImpossibleRim, RimPlan
from labcases.prosthodontics.wording import Words

# The posterior width is reached at this part of the occlusal surface behind the canine line.
MOLAR_STATION = 0.6
# The forward shift ends in two parabolas that meet here, as a part of the way from midline to canine line.
# Early enough that the rim stays straight, and does not hollow, in front of the canine line.
SHIFT_KNEE = 0.35
SHORTEST_POSTERIOR = 6.0


_END_ALLOWED = {
    "left": Words(
        "an end that leaves at least {least:g} mm of occlusal surface behind the left canine line: "
        "steeper, with less clearance or less height"
    ),
    "right": Words(
        "an end that leaves at least {least:g} mm of occlusal surface behind the right canine line: "
        "steeper, with less clearance or less height"
    ),
}


@dataclass(frozen=True)
class Course:
    """One side of the rim: arc lengths on the crest (mm from the midline) at which things change.

    canine: canine line. molar: from here on the posterior width. table_end: end of the occlusal surface.
    foot: end of the rim at the crest.
    """

    plan: RimPlan
    side: str
    canine: float
    molar: float
    table_end: float
    foot: float

    @classmethod
    def of(cls, plan: RimPlan, side: str) -> Course:
        """The course of "left" or "right"; ImpossibleRim where the ends leave no posterior rim."""
        sign = 1.0 if side == "left" else -1.0
        canine = abs(
            plan.crest.arc_length_to(sign * (plan.canine_left if side == "left" else plan.canine_right))
        )
        foot = plan.crest.side_length(side) - max(plan.end_clearance, 0.5)
        table_end = foot - _end_height(plan, side) / np.tan(np.radians(plan.posterior_end_angle))
        if table_end < canine + SHORTEST_POSTERIOR:
            raise ImpossibleRim(
                "posterior_end_angle",
                round(plan.posterior_end_angle, 3),
                _END_ALLOWED[side].of(least=SHORTEST_POSTERIOR),
            )
        molar = canine + MOLAR_STATION * (table_end - canine)
        return cls(plan, side, canine, molar, float(table_end), foot)

    def width(self, s: Array) -> Array:
        """Width of the occlusal surface at the distances `s` ≥ 0, mm."""
        plan = self.plan
        return plan.anterior_width + (plan.posterior_width - plan.anterior_width) * self._ramp(s)

    def shift(self, s: Array) -> tuple[Array, Array]:
        """How far the rim's middle stands in front of the crest (mm), and the change of that per mm."""
        part = np.minimum(s / self.canine, 1.0)
        near = part < SHIFT_KNEE
        share = np.where(near, 1 - part**2 / SHIFT_KNEE, (1 - part) ** 2 / (1 - SHIFT_KNEE))
        slope = np.where(near, -2 * part / SHIFT_KNEE, -2 * (1 - part) / (1 - SHIFT_KNEE))
        return self.plan.shift * share, self.plan.shift * slope / self.canine

    def height(self, s: Array) -> Array:
        """Wax over the crest, mm: level to the canine line, then straight to the posterior end's height."""
        front = self.plan.heights.anterior
        part = np.clip((s - self.canine) / (self.foot - self.canine), 0.0, 1.0)
        return front + (_end_height(self.plan, self.side) - front) * part

    def lean(self, s: Array) -> Array:
        """How far the labial face leans out per mm of height; none from the molar region on."""
        full = float(np.tan(np.radians(self.plan.labial_inclination - 90.0)))
        return full * (1 - self._ramp(s))

    def cut(self, s: Array) -> Array:
        """Height of the sloped end over the occlusal plane, mm; 0 in front of it."""
        return np.maximum(s - self.table_end, 0.0) * float(np.tan(np.radians(self.plan.posterior_end_angle)))

    def _ramp(self, s: Array) -> Array:
        part = np.clip((s - self.canine) / (self.molar - self.canine), 0.0, 1.0)
        return np.where(part < 0.5, 2 * part**2, 1 - 2 * (1 - part) ** 2)


def _end_height(plan: RimPlan, side: str) -> float:
    return plan.heights.posterior_left if side == "left" else plan.heights.posterior_right
