"""What an occlusion rim is made to."""

import math
from dataclasses import replace
from decimal import Decimal

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.millimetres import format_millimetres as mm
from labcases.prosthodontics.provenance import Provenance
from labcases.prosthodontics.quantities import ARCHES, QUANTITIES
from labcases.prosthodontics.specification.basis import (
    Computed,
    Figures,
    Prescribed,
    Work,
    label_of,
    rounded,
    work_on,
)
from labcases.prosthodontics.specification.heights import (
    LIP_FIGURES,
    mandibular_from_pad,
    mandibular_from_rest_of_space,
    maxillary_from_lip,
    usable,
)
from labcases.prosthodontics.specification.lines import Basis, Dimension, Specification
from labcases.prosthodontics.specification.references import height_as_read, offset_of_worn
from labcases.prosthodontics.specification.remarks import notes_on_rims
from labcases.prosthodontics.standard import LabStandard
from labcases.prosthodontics.wording import Words, in_a_sentence

STAGE = "occlusion_rims"
SIDES = ("left", "right")
# A prescriber sets these; the length along the face and the level on the pad follow from them.
PRESCRIBABLE = {
    "maxillary": (
        "anterior_height",
        "posterior_height_left",
        "posterior_height_right",
        "anterior_width",
        "posterior_width",
        "labial_offset",
        "labial_inclination",
        "posterior_end_angle",
    ),
    "mandibular": (
        "anterior_height",
        "posterior_height_left",
        "posterior_height_right",
        "anterior_width",
        "posterior_width",
        "labial_inclination",
        "posterior_end_angle",
    ),
}
MISSING = Words("Missing to compute it for this patient: {figures}.")
NO_FIGURE = Words("No figure of this patient that the height could be computed from.")
NOT_MEASURED = Words("The worn denture was not measured.")
AND = Words("and")
PAD_MISSING = {
    "left": Words("The pad's height on the left is missing."),
    "right": Words("The pad's height on the right is missing."),
}
NO_AVERAGE = {
    "left": Words("No average exists for this height, and the pad's height on the left is missing."),
    "right": Words("No average exists for this height, and the pad's height on the right is missing."),
}
SPACE_FIGURES = ("intersulcus_distance", "opposing_anterior_height")


def specify_rims(
    arch: str, *, figures: Figures, prescribed: Prescribed, standard: LabStandard
) -> Specification:
    """Every dimension of the arch's rim, each by the first basis that applies, with notes for the bench.

    `figures` are the patient's by quantity name, `prescribed` targets by dimension name; mm and degrees.
    Figures that this arch has no use for are left aside. Raises `InputError` for an unknown name and an
    impossible value.
    """
    if arch not in ARCHES:
        raise InputError("arch", arch, ", ".join(ARCHES))
    work = work_on(
        stage=STAGE,
        arch=arch,
        names=PRESCRIBABLE[arch],
        figures=figures,
        prescribed=prescribed,
        standard=standard,
    )
    lines = _maxillary(work) if arch == "maxillary" else _mandibular(work)
    return Specification(
        stage=STAGE,
        arch=arch,
        dimensions=tuple(lines),
        notes=tuple(notes_on_rims(work, {line.name: line for line in lines})),
        choices=_choices(work),
    )


def _maxillary(work: Work) -> list[Dimension]:
    height = _anterior_height(work, maxillary_from_lip(work), LIP_FIGURES)
    posterior = [work.line(f"posterior_height_{side}") for side in SIDES]
    widths = [work.line("anterior_width"), work.line("posterior_width")]
    return [
        height,
        *height_as_read(work, height),
        *posterior,
        *widths,
        _offset(work),
        *_face(work, height),
        work.line("posterior_end_angle"),
    ]


def _mandibular(work: Work) -> list[Dimension]:
    height = _anterior_height(work, mandibular_from_rest_of_space(work), SPACE_FIGURES)
    posterior = [_pad_height(work, side) for side in SIDES]
    widths = [work.line("anterior_width"), work.line("posterior_width")]
    ends = [work.line("posterior_end_angle"), _pad_level(work)]
    return [height, *height_as_read(work, height), *posterior, *widths, *_face(work, height), *ends]


def _anterior_height(work: Work, computed: Computed | None, needed: tuple[str, ...]) -> Dimension:
    fits = usable("anterior_height", computed)
    because = ""
    if computed is not None and fits is None:
        given = Words("The patient's figures give {height} mm, which no rim can be: not used.")
        because = f"{given.of(height=mm(computed.value))} "
    elif computed is None:
        because = _why_not_computed(work, needed)
    return work.line("anterior_height", computed=fits, because=because)


def _why_not_computed(work: Work, needed: tuple[str, ...]) -> str:
    missing = work.missing(*needed)
    if len(missing) == len(needed):
        return f"{NO_FIGURE} "
    labels = f" {AND} ".join(in_a_sentence(QUANTITIES[name].label) for name in missing)
    return f"{MISSING.of(figures=labels)} "


def _pad_height(work: Work, side: str) -> Dimension:
    name = f"posterior_height_{side}"
    computed = mandibular_from_pad(work, side)
    if name in work.prescribed or computed is not None or work.norm(name) is not None:
        because = "" if computed else f"{PAD_MISSING[side]} "
        return _with_tolerance(work, work.line(name, computed=computed, because=because))
    level = work.standard.schools.words("pad_level")
    return Dimension(
        name=name,
        label=label_of(name),
        arch=work.arch,
        target=None,
        lower=None,
        upper=None,
        unit="mm",
        basis=Basis.STANDARD,
        source=f"{work.standard.words}; {Provenance.COMMON.words}",
        why=NO_AVERAGE[side],
        wording=_begun(Words("{level}; measure the pad height on the cast").of(level=level)),
        measurable=False,
    )


def _with_tolerance(work: Work, line: Dimension) -> Dimension:
    """Without a norm of its own the height at the pad borrows the tolerance of the anterior height."""
    like = work.norm("anterior_height")
    if line.lower is not None or like is None or line.target is None:
        return line
    low, high = QUANTITIES[line.name].cannot_be
    return replace(
        line,
        lower=max(low, line.target - like.minus),
        upper=min(high, line.target + like.plus),
        source=Words("{source}; tolerance: as for the anterior height").of(source=line.source),
    )


def _offset(work: Work) -> Dimension:
    follows_worn = work.standard.schools.labial_guide == "existing"
    worn = offset_of_worn(work) if follows_worn else None
    because = "" if worn or not follows_worn else f"{NOT_MEASURED} "
    line = work.line("labial_offset", computed=worn, because=because)
    taken = Words("Taken from the {point}.").of(point=work.standard.schools.words("papilla_reference"))
    return replace(line, why=f"{line.why} {taken}")


def _face(work: Work, height: Dimension) -> list[Dimension]:
    inclination = work.line("labial_inclination")
    return [inclination, face_length(height, inclination)]


def face_length(height: Dimension, inclination: Dimension) -> Dimension:
    """Length along the labial face: height / sin(inclination to the plane), mm (derived here).

    It follows from the two, so its basis is the patient's only where one of them is.
    """
    target, angle = height.target, inclination.target
    if target is None or angle is None:
        raise InputError("anterior_face_length", None, Words("a height and an inclination"))
    slope = Decimal(math.sin(math.radians(angle)))
    from_standard = height.basis is Basis.STANDARD and inclination.basis is Basis.STANDARD
    return replace(
        height,
        name="anterior_face_length",
        label=label_of("anterior_face_length"),
        target=rounded(target / slope),
        lower=None if height.lower is None else rounded(height.lower / slope),
        upper=None if height.upper is None else rounded(height.upper / slope),
        basis=Basis.STANDARD if from_standard else Basis.COMPUTED,
        source=Words("from height and inclination (derived here)"),
        why=Words(
            "{height} mm of height on a face at {angle}° to the plane measure {length} mm along the face."
        ).of(height=mm(target), angle=mm(angle), length=mm(rounded(target / slope))),
        uncertainty=None if height.uncertainty is None else height.uncertainty / slope,
        formula=Words("height / sine of the labial inclination"),
    )


def _pad_level(work: Work) -> Dimension:
    level = work.standard.schools.words("pad_level")
    return Dimension(
        name="pad_level",
        label=label_of("pad_level"),
        arch=work.arch,
        target=None,
        lower=None,
        upper=None,
        unit="",
        basis=Basis.STANDARD,
        source=f"{work.standard.words}; {Provenance.COMMON.words}",
        why=Words(
            "The occlusal surface ends level with this mark on both sides; schools differ, this one is "
            "chosen."
        ),
        wording=_begun(str(level)),
        measurable=False,
    )


def _begun(text: str) -> str:
    """With the capital of a sentence's beginning."""
    return text[:1].upper() + text[1:]


def _choices(work: Work) -> tuple[str, ...]:
    own = (
        ("papilla_reference", "labial_guide", "display_range") if work.arch == "maxillary" else ("pad_level",)
    )
    return work.standard.schools.sentences(*own, "height_reference", "conformity_rule")
