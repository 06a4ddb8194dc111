"""The front teeth among themselves: how a width of six parts into single teeth, and what their marks mean.

Shares are those of average natural crowns (see crowns); a mould's own card goes before them.
"""

from __future__ import annotations

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.teeth.crowns import CROWNS, width_sum
from labcases.prosthodontics.wording import Words

FEWEST, MOST = 6, 10


def front_widths(
    arch: str, six_width: float, *, central_width: float | None = None, teeth: int = FEWEST
) -> tuple[float, ...]:
    """Widths (mm) from the central outwards, one side of six to ten teeth whose first six take `six_width` mm.

    A `central_width` of its own stays, and laterals and canines share what is left.
    """
    if teeth not in range(FEWEST, MOST + 1, 2):
        raise InputError("teeth", teeth, Words("{fewest}, 8 or {most}").of(fewest=FEWEST, most=MOST))
    average = [CROWNS[arch][place].width for place in range(1, teeth // 2 + 1)]
    scale = six_width / 2 / width_sum(arch, 1, 3)
    widths = [width * scale for width in average]
    if central_width is not None:
        rest = (six_width / 2 - central_width) / width_sum(arch, 2, 3)
        if rest <= 0:
            raise InputError(
                "central_width",
                round(central_width, 2),
                Words("less than {half:.1f} mm").of(half=six_width / 2),
            )
        widths[:3] = [central_width, average[1] * rest, average[2] * rest]
    return tuple(widths)


def between_distal_surfaces(arch: str, between_tips: float) -> float:
    """Arc of six front teeth (mm) from the arc between their canine tips: half a canine more on either side."""
    return between_tips / (1 - _canine_share(arch))


def between_tips(arch: str, six_width: float) -> float:
    """Arc between the canine tips (mm) of six front teeth that take `six_width` mm along the curve."""
    return six_width * (1 - _canine_share(arch))


def _canine_share(arch: str) -> float:
    """One canine as a part of six front teeth."""
    return CROWNS[arch][3].width / (2 * width_sum(arch, 1, 3))
