"""The rims' heights from this patient's own figures, with the reason in numbers and the uncertainty carried
along.

Everything here is a sum or a share of what was measured (derived here). Heights run from the deepest labial
sulcus beside the frenum to the occlusal surface; the lower posterior height from the foot of the retromolar
pad.
"""

from decimal import Decimal

from labcases.prosthodontics.millimetres import format_millimetres as mm
from labcases.prosthodontics.quantities import QUANTITIES
from labcases.prosthodontics.specification.basis import Computed, Figure, Work, rounded
from labcases.prosthodontics.uncertainty import Term, propagate
from labcases.prosthodontics.wording import Words

LIP_FIGURES = ("sulcus_to_papilla", "papilla_to_resting_lip", "incisal_display")
PAD_WORDS = {
    "left": Words("The pad is {pad} mm high on the left; {share} is {height} mm."),
    "right": Words("The pad is {pad} mm high on the right; {share} is {height} mm."),
}
ONE = Decimal(1)


def maxillary_from_lip(work: Work) -> Computed | None:
    """Sulcus depth + papilla to resting lip + display wanted, mm; None unless all three figures exist."""
    figures = work.given(*LIP_FIGURES)
    if figures is None:
        return None
    depth, lip, display = figures
    height = depth.value + lip.value + display.value
    return Computed(
        value=height,
        u=uncertainty_of((ONE, depth), (ONE, lip), (ONE, display)),
        why=Words(
            "Sulcus {depth} mm above the papilla, resting lip {lip} mm below it, "
            "{display} mm of display wanted: together {height} mm."
        ).of(depth=mm(depth.value), lip=mm(lip.value), display=mm(display.value), height=mm(height)),
        formula=Words("sulcus depth above the papilla + papilla to resting lip + display wanted"),
    )


def mandibular_from_rest_of_space(work: Work) -> Computed | None:
    """Sulcus to sulcus less the upper rim's height, mm; None unless both figures exist."""
    figures = work.given("intersulcus_distance", "opposing_anterior_height")
    if figures is None:
        return None
    between, upper = figures
    height = between.value - upper.value
    return Computed(
        value=height,
        u=uncertainty_of((ONE, between), (-ONE, upper)),
        why=Words(
            "Sulcus to sulcus {between} mm at the vertical dimension, the upper rim takes "
            "{upper} mm: {height} mm are left."
        ).of(between=mm(between.value), upper=mm(upper.value), height=mm(height)),
        formula=Words("sulcus to sulcus at the vertical dimension - height of the upper rim"),
    )


def mandibular_from_pad(work: Work, side: str) -> Computed | None:
    """The chosen share of the retromolar pad's height on that side, mm; None without the pad's height."""
    figures = work.given(f"retromolar_pad_height_{side}")
    if figures is None:
        return None
    (pad,) = figures
    fraction = work.standard.schools.pad_fraction
    # Multiplied before it is divided, so that two thirds of 9.0 are 6.0 and not 5.9999.
    height = rounded(pad.value * fraction.numerator / fraction.denominator)
    share = Decimal(fraction.numerator) / fraction.denominator
    words = work.standard.schools.words("pad_level")
    return Computed(
        value=height,
        u=uncertainty_of((share, pad)),
        why=PAD_WORDS[side].of(pad=mm(pad.value), share=words, height=mm(height)),
        formula=Words("{share}; the share is the laboratory's choice").of(share=words),
    )


def usable(name: str, computed: Computed | None) -> Computed | None:
    """The computed height, unless no rim can have it: then the figures contradict each other."""
    if computed is None or not QUANTITIES[name].is_possible(computed.value):
        return None
    return computed


def uncertainty_of(*terms: tuple[Decimal, Figure]) -> Decimal | None:
    """Standard uncertainty of a sum; None as soon as one input's isn't known."""
    known = [Term(coefficient, figure.u) for coefficient, figure in terms if figure.u is not None]
    return propagate(known) if len(known) == len(terms) else None
