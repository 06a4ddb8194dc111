"""A rim's figures as the laboratory reads them: from another landmark, or after the denture that is worn."""

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from labcases.prosthodontics.millimetres import format_millimetres as mm
from labcases.prosthodontics.papilla import TABRIZ_STEPS, PapillaPoint, convert_offset
from labcases.prosthodontics.provenance import COMMON_PRACTICE
from labcases.prosthodontics.quantities import QUANTITIES
from labcases.prosthodontics.specification.basis import Computed, Figure, Work, label_of, possible, rounded
from labcases.prosthodontics.specification.heights import LIP_FIGURES, ONE, uncertainty_of
from labcases.prosthodontics.specification.lines import Basis, Dimension
from labcases.prosthodontics.wording import Words, in_a_sentence

# Where a height may be read from, with the line that gives it and the depth that lies between.
READ_FROM = {
    "crest": ("height_over_crest", "sulcus_to_crest"),
    "papilla": ("papilla_to_rim_edge", "sulcus_to_papilla"),
}
WORN_FACE = "existing_papilla_to_face"
IN_FRONT = Words(
    "The rim's face stands {gap} mm in front of it; which of the two to follow is for the prescriber to decide."
)
BEHIND = Words(
    "The rim's face stands {gap} mm behind it; which of the two to follow is for the prescriber to decide."
)
JUST_THERE = Words(
    "The rim's face stands just there; which of the two to follow is for the prescriber to decide."
)


def height_as_read(work: Work, height: Dimension) -> Iterator[Dimension]:
    """The anterior height from the landmark that the laboratory reads it from; nothing where that is the sulcus.

    On a lower rim, which has no papilla, that choice leaves the sulcus.
    """
    name, depth_name = READ_FROM.get(work.standard.schools.height_reference, ("", ""))
    if not name or work.arch not in QUANTITIES[name].arches or height.target is None:
        return
    depth = work.given(depth_name)
    if depth is None or height.target <= depth[0].value:
        yield _not_known(work, name, depth_name, height)
    else:
        yield _less_depth(work, name, height, depth[0])


def _less_depth(work: Work, name: str, height: Dimension, depth: Figure) -> Dimension:
    """Height - depth, with the height's own limits moved along, mm."""
    assert height.target is not None
    target = height.target - depth.value
    lower, upper = (
        None if limit is None else possible(name, limit - depth.value, target)
        for limit in (height.lower, height.upper)
    )
    label = in_a_sentence(QUANTITIES[READ_FROM[work.standard.schools.height_reference][1]].label)
    return replace(
        height,
        name=name,
        label=label_of(name),
        target=target,
        lower=lower,
        upper=upper,
        basis=Basis.COMPUTED,
        source=Words("from height and depth (derived here)"),
        why=Words("Anterior height {height} mm less the {label}, {depth} mm: {rest} mm.").of(
            height=mm(height.target), label=label, depth=mm(depth.value), rest=mm(target)
        ),
        uncertainty=_known_to(work, name, height, depth),
        formula=Words("anterior height - {label}").of(label=label),
    )


def _known_to(work: Work, name: str, height: Dimension, depth: Figure) -> Decimal | None:
    """The depth of the sulcus cancels out of a height that was itself computed from it."""
    if height.basis is Basis.COMPUTED and name == "papilla_to_rim_edge":
        lip = work.given(*LIP_FIGURES[1:]) or []
        return uncertainty_of(*((ONE, figure) for figure in lip))
    own = Figure(height.target or Decimal(0), height.uncertainty or Decimal(0))
    return uncertainty_of((ONE, own), (-ONE, depth))


def _not_known(work: Work, name: str, depth_name: str, height: Dimension) -> Dimension:
    depth = in_a_sentence(QUANTITIES[depth_name].label)
    landmark = work.standard.schools.words("height_reference")
    return replace(
        height,
        name=name,
        label=label_of(name),
        target=None,
        lower=None,
        upper=None,
        basis=Basis.STANDARD,
        source=f"{work.standard.words}; {COMMON_PRACTICE.words}",
        why=Words("This laboratory reads the height from {landmark}.").of(landmark=landmark),
        wording=Words("Measure the {depth} on the cast; until then read the height from the sulcus.").of(
            depth=depth
        ),
        uncertainty=None,
        formula="",
        measurable=False,
    )


def offset_of_worn(work: Work) -> Computed | None:
    """The worn denture's distance from the papilla, restated from the laboratory's point of it, mm.

    None where that figure is missing.
    """
    figures = work.given(WORN_FACE)
    if figures is None:
        return None
    (worn,) = figures
    point = PapillaPoint(work.standard.schools.papilla_reference)
    offset = rounded(Decimal(str(convert_offset(float(worn.value), PapillaPoint.CENTRE, point))))
    return Computed(
        value=max(offset, Decimal(0)),
        u=worn.u,
        why=Words(
            "The denture worn now carries its face {worn} mm in front of the centre of the papilla, "
            "{offset} mm from the {point}."
        ).of(worn=mm(worn.value), offset=mm(offset), point=point.words),
        formula=Words(
            "papilla to labial face of the worn denture, restated from the laboratory's papilla point"
        ),
        source=TABRIZ_STEPS.words,
    )


def worn_beside(work: Work, offset: Dimension) -> Iterator[str]:
    """What the patient is used to, beside the figure that the rim is made to."""
    worn = offset_of_worn(work)
    if worn is None or offset.target is None or work.standard.schools.labial_guide != "both":
        return
    gap = offset.target - worn.value
    stands = IN_FRONT if gap > 0 else BEHIND if gap else JUST_THERE
    yield f"{worn.why} {stands.of(gap=mm(abs(gap)))}"


def border_note(work: Work) -> Iterator[str]:
    """A height read from the border is right as far as the border reaches."""
    if work.standard.schools.height_reference == "border":
        yield Words(
            "Heights are read from the border of the record base, which fills the sulcus; where it ends short, "
            "the rim reads lower by as much."
        )
