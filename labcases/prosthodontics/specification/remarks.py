"""What the bench should know besides the figures: what they imply, and what they contradict.

A remark never judges a patient. Outside a range means outside a configured or a published range, nothing
more.
"""

from collections.abc import Iterator, Mapping
from decimal import Decimal

from labcases.prosthodontics.millimetres import format_millimetres as mm
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.quantities import QUANTITIES
from labcases.prosthodontics.specification.basis import Computed, Work
from labcases.prosthodontics.specification.heights import (
    mandibular_from_pad,
    mandibular_from_rest_of_space,
    maxillary_from_lip,
    usable,
)
from labcases.prosthodontics.specification.lines import Basis, Dimension
from labcases.prosthodontics.specification.references import border_note, worn_beside
from labcases.prosthodontics.wording import Words, figure

PAPILLA_TO_EDGE = (Decimal("5.51"), Decimal("8.89"))
PAPILLA_TO_EDGE_SOURCE = Source(
    "Eur J Dent 2008;2:161-166, doi 10.1055/s-0039-1697373, 6.70 (SD 0.81) mm on dentate casts",
    Provenance.SEEN,
    "H",
)
CENTRAL_INCISOR_LENGTH = Decimal("10.5")
CENTRAL_INCISOR_SOURCE = Source(
    "average crown at pocketdentistry.com/tooth-traits-of-the-permanent-dentition", Provenance.SEEN, "H"
)
SEALING = Words("Measure again after the wax is sealed and smoothed: both change heights and widths.")
CLEARANCE = Words(
    "Keep 5 to 10 mm clear behind the rims, so that the bases can't touch (common practice, no source)."
)
# Whether the edge ends above the resting lip, and whether that is within the configured range.
DISPLAY_WORDS = {
    (False, True): Words("This height shows {display} mm at rest, within the configured {low} to {high} mm."),
    (False, False): Words(
        "This height shows {display} mm at rest, outside the configured {low} to {high} mm: "
        "for the prescriber to decide."
    ),
    (True, True): Words(
        "This height ends {display} mm above the resting lip, within the configured {low} to {high} mm."
    ),
    (True, False): Words(
        "This height ends {display} mm above the resting lip, outside the configured {low} to {high} mm: "
        "for the prescriber to decide."
    ),
}
REPEATING = ("anterior_face_length", "height_over_crest", "papilla_to_rim_edge")
Lines = Mapping[str, Dimension]


def notes_on_rims(work: Work, lines: Lines) -> Iterator[str]:
    """The notes of one rim's specification, the patient's own first."""
    if work.arch == "maxillary":
        yield from _lip(work, lines["anterior_height"])
        yield from worn_beside(work, lines["labial_offset"])
    else:
        yield from _contradiction(mandibular_from_rest_of_space(work))
        yield from _pad_prescribed(work, lines)
    yield from _unusual(lines)
    yield from _differs(lines["posterior_height_left"], lines["posterior_height_right"])
    yield from _widths(lines["anterior_width"], lines["posterior_width"])
    yield from _left_aside(work)
    yield from border_note(work)
    yield CLEARANCE
    yield SEALING


def _lip(work: Work, height: Dimension) -> Iterator[str]:
    """What this height means for the lip, unless the figures contradict each other."""
    contradiction = list(_contradiction(maxillary_from_lip(work)))
    yield from contradiction
    if not contradiction or height.basis is Basis.PRESCRIBED:
        yield from _display(work, height)
        yield from _papilla_to_edge(work, height)
        yield from _smile(work, height)


def implied_display(work: Work, height: Dimension) -> Decimal | None:
    """Height - sulcus depth - papilla to resting lip, mm: what the rim shows at rest; None if not known."""
    given = work.given("sulcus_to_papilla", "papilla_to_resting_lip")
    if given is None or height.target is None:
        return None
    return height.target - given[0].value - given[1].value


def edge_below_papilla(work: Work, height: Dimension) -> Decimal | None:
    """Vertical distance from the papilla to the rim's edge, mm; None without the depth of the sulcus."""
    given = work.given("sulcus_to_papilla")
    return None if given is None or height.target is None else height.target - given[0].value


def _contradiction(computed: Computed | None) -> Iterator[str]:
    if computed is not None and usable("anterior_height", computed) is None:
        low, high = QUANTITIES["anterior_height"].cannot_be
        yield Words(
            "The patient's figures contradict each other: {why} A rim is between {low} and {high} mm high. "
            "Measure again and ask the prescriber before any wax is added; the height given here is a "
            "stand-in."
        ).of(why=computed.why, low=low, high=high)


def _display(work: Work, height: Dimension) -> Iterator[str]:
    display = implied_display(work, height)
    if display is None:
        return
    low, high = work.standard.schools.display_limits
    words = DISPLAY_WORDS[display < 0, low <= display <= high]
    yield words.of(display=mm(abs(display)), low=mm(low), high=mm(high))


def _papilla_to_edge(work: Work, height: Dimension) -> Iterator[str]:
    edge = edge_below_papilla(work, height)
    low, high = PAPILLA_TO_EDGE
    if edge is not None and not low <= edge <= high:
        yield Words(
            "Papilla to edge comes to {edge} mm, outside the observed range of the published sample, "
            "{low} to {high} mm ({source}). Worth a second look, no fault by itself."
        ).of(edge=mm(edge), low=mm(low), high=mm(high), source=PAPILLA_TO_EDGE_SOURCE.words)


def _smile(work: Work, height: Dimension) -> Iterator[str]:
    edge, smile = edge_below_papilla(work, height), work.figures.get("papilla_to_smiling_lip")
    if edge is None or smile is None:
        return
    shown = edge - smile.value
    if shown > CENTRAL_INCISOR_LENGTH:
        yield Words(
            "In a full smile the lip stands {shown} mm above the edge; that is more than a central incisor of "
            "average length, {length} mm ({source}), so the base may show above the teeth."
        ).of(shown=mm(shown), length=mm(CENTRAL_INCISOR_LENGTH), source=CENTRAL_INCISOR_SOURCE.words)
    else:
        yield Words("In a full smile the lip stands {shown} mm above the edge.").of(shown=mm(shown))


def _pad_prescribed(work: Work, lines: Lines) -> Iterator[str]:
    for side in ("left", "right"):
        computed, line = mandibular_from_pad(work, side), lines[f"posterior_height_{side}"]
        if computed and line.basis is Basis.PRESCRIBED and line.target != computed.value:
            words = Words("{label}: {prescribed} mm prescribed; the pad gives {computed} mm.")
            yield words.of(label=line.label, prescribed=mm(line.target), computed=mm(computed.value))


def _unusual(lines: Lines) -> Iterator[str]:
    for line in lines.values():
        # A line that only says once more what the height says.
        if line.name in QUANTITIES and line.basis is not Basis.STANDARD and line.name not in REPEATING:
            yield from _unusual_line(line)


def _unusual_line(line: Dimension) -> Iterator[str]:
    kind = QUANTITIES[line.name]
    if line.target is not None and kind.is_unusual(line.target):
        low, high = kind.unusual
        yield Words(
            "{label}: {figure} is outside the usual {low} to {high}; "
            "confirm it with the prescriber before the wax is made."
        ).of(label=line.label, figure=line.words, low=figure(str(low)), high=figure(str(high)))


def _differs(left: Dimension, right: Dimension) -> Iterator[str]:
    if left.target is not None and right.target is not None and left.target != right.target:
        gap = abs(left.target - right.target)
        yield Words("Left and right differ by {gap} mm behind; that is meant, no slip.").of(gap=mm(gap))


def _widths(anterior: Dimension, posterior: Dimension) -> Iterator[str]:
    if anterior.target is not None and posterior.target is not None and anterior.target >= posterior.target:
        yield Words(
            "The table is {front} mm wide in front and {behind} mm behind; by common practice it is always "
            "wider behind. Ask whether this is meant."
        ).of(front=mm(anterior.target), behind=mm(posterior.target))


def _left_aside(work: Work) -> Iterator[str]:
    """A figure that was measured and not used is named, so that nobody believes it went in."""
    given = [name for name in ("intersulcus_distance", "opposing_anterior_height") if name in work.figures]
    if work.arch == "mandibular" and len(given) == 1:
        words = Words("{figure} alone gives no height; the other figure of the pair is missing.")
        yield words.of(figure=QUANTITIES[given[0]].label)
