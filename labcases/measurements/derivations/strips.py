"""The tooth-outline strip of a case: which teeth are drawn on this rim's face, and the lip lines on it."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from labcases.measurements.derivations.figures import CaseFigures
from labcases.measurements.derivations.front_teeth import crown_length, front_arc, lower_six, wish_for
from labcases.measurements.derivations.lines import number, refusal_in_words
from labcases.measurements.derivations.shapes import RimShape
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.strip import Strip, tooth_strip
from labcases.prosthodontics.teeth import Mould, front_widths, rank_moulds
from labcases.prosthodontics.wording import Words

# Room between the tallest tooth and the upper edge of the strip, mm, and the tallest strip that is printed.
OVER_TEETH, TALLEST = 3.0, 30.0
MOST_TEETH, FEWEST_TEETH = 8, 6
NO_STRIP = Words("No strip for these teeth.")


@dataclass(frozen=True, kw_only=True)
class ToothStrip:
    """What a strip is drawn from, plain and in mm. `notes` say where the teeth and the lines come from."""

    shape: RimShape
    six_width: Decimal
    central_width: Decimal | None
    central_length: Decimal
    resting_lip: Decimal | None = None
    smiling_lip: Decimal | None = None
    universal_first: bool = False
    notes: tuple[str, ...] = ()

    @cached_property
    def _made(self) -> tuple[Strip | None, str]:
        outline = self.shape.outline
        if outline is None:
            return None, self.shape.obstacle
        refused = ""
        for teeth in (MOST_TEETH, FEWEST_TEETH):
            try:
                return tooth_strip(outline, **self._sizes(teeth), **self._lips()), ""
            except InputError as error:
                refused = f"{NO_STRIP} {refusal_in_words(error)}"
        return None, refused

    def _sizes(self, teeth: int) -> dict[str, object]:
        central = None if self.central_width is None else float(self.central_width)
        arch, length = self.shape.arch, float(self.central_length)
        outline = self.shape.outline
        wax = outline.plan.heights.anterior if outline else 0.0
        return {
            "widths": front_widths(arch, float(self.six_width), central_width=central, teeth=teeth),
            "length": length,
            "face_height": min(max(wax, 1.25 * length + OVER_TEETH), TALLEST),
        }

    def _lips(self) -> dict[str, float]:
        lips = {"resting_lip": self.resting_lip, "smiling_lip": self.smiling_lip}
        return {name: float(shown) for name, shown in lips.items() if shown is not None}

    @property
    def strip(self) -> Strip | None:
        """The strip, or None where `obstacle` says what stands against it."""
        return self._made[0]

    @property
    def obstacle(self) -> str:
        return self._made[1]


def strip_of(case: CaseFigures, shape: RimShape, moulds: Sequence[Mould]) -> ToothStrip | None:
    """The strip for a rim whose outline is known, with teeth that were chosen, or the nearest mould, or average
    ones as wide as the arc between the canine lines; None without an outline."""
    arc = front_arc(case, shape)
    if shape.outline is None or arc is None:
        return None
    chosen = _nearest(case, shape, moulds)
    width, central, words = _widths(case, shape, chosen, arc.value)
    length, length_words = crown_length(case, shape.arch, chosen)
    rest, smile, lip_words = _lip_lines(case, shape.arch)
    return ToothStrip(
        shape=shape,
        six_width=_hundredths(width),
        central_width=None if central is None else _hundredths(central),
        central_length=_hundredths(length),
        resting_lip=rest,
        smiling_lip=smile,
        universal_first=case.schools.tooth_numbering == "universal",
        notes=(
            Words(
                "Six front teeth {width} mm wide, {widths}; the central’s length of {length} mm is {lengths}."
            ).of(width=number(width), widths=words, length=number(length), lengths=length_words),
            *lip_words,
        ),
    )


def _nearest(case: CaseFigures, shape: RimShape, moulds: Sequence[Mould]) -> Mould | None:
    wish = wish_for(case, shape, front_arc(case, shape))
    # A list of mould cards is of upper teeth; its figures say nothing of a lower arch.
    if not moulds or wish.six_anterior_width is None or shape.arch != "maxillary":
        return None
    first = rank_moulds(moulds, wish)[0].mould
    return first if first.six_anterior_width is not None else None


def _widths(
    case: CaseFigures, shape: RimShape, chosen: Mould | None, arc: float
) -> tuple[float, float | None, str]:
    """Width of six, of the central where it is known, and in words where they come from."""
    measured = case.value("six_anterior_width", shape.arch)
    central = case.value("central_incisor_width", shape.arch)
    if measured is not None:
        return measured, central, str(Words("as chosen"))
    if chosen is not None and case.schools.mould_width != "chord" and chosen.six_anterior_width is not None:
        own = chosen.central_width
        width = float(chosen.six_anterior_width)
        return (
            width,
            float(own) if own is not None else None,
            Words("those of {mould}, the nearest mould of the list").of(mould=chosen.name),
        )
    below = lower_six(case) if shape.arch == "mandibular" else None
    if below is not None:
        return below.value, central, str(Words("by the upper six"))
    return arc, central, str(Words("average crowns as wide as the arc between the canine lines"))


def _lip_lines(case: CaseFigures, arch: str) -> tuple[Decimal | None, Decimal | None, tuple[str, ...]]:
    """How far the edge shows below the resting and the smiling lip, from the rim in the mouth or else from the lip."""
    if arch != "maxillary":
        return None, None, ()
    figures, height = case.of(arch), case.target("anterior_height", arch)
    rest, smile = figures.get("rim_display_at_rest"), figures.get("smile_line_height")
    depth = figures.get("sulcus_to_papilla")
    edge = height.target - depth.value if height and height.target is not None and depth else None
    found: list[Decimal | None] = []
    for seen, lip in ((rest, "papilla_to_resting_lip"), (smile, "papilla_to_smiling_lip")):
        if seen is not None:
            found.append(seen.value)
        else:
            found.append(edge - figures[lip].value if edge is not None and lip in figures else None)
    words = (
        Words("Lip lines as read on the rim in the mouth.")
        if rest or smile
        else Words("Lip lines by the papilla’s figures.")
    )
    return found[0], found[1], (words,) if any(each is not None for each in found) else ()


def _hundredths(value: float) -> Decimal:
    return round(Decimal(str(value)), 2).normalize()
