"""What a record base is made to."""

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.quantities import ARCHES
from labcases.prosthodontics.specification.basis import Figures, Prescribed, work_on
from labcases.prosthodontics.specification.lines import Specification
from labcases.prosthodontics.standard import LabStandard
from labcases.prosthodontics.wording import Words

STAGE = "record_base"
DIMENSIONS = {
    "maxillary": (
        "border_extension",
        "base_thickness_crest",
        "base_thickness_palate",
        "border_roll_thickness",
        "posterior_seal_depth",
        "posterior_seal_depth_midline",
        "posterior_seal_width_midline",
        "posterior_seal_width_lateral",
        "posterior_seal_form",
        "frenum_relief",
        "papilla_window",
    ),
    "mandibular": (
        "border_extension",
        "base_thickness_crest",
        "base_thickness_lingual",
        "border_roll_thickness",
        "frenum_relief",
    ),
}
CURING = Words(
    "A light-cured base is cured on the cast, eased off from several directions in turn, and cured "
    "again with the fitting side up; its borders are smoothed and felt with the finger (common practice, no source)."
)
STABILITY = Words(
    "The base must sit on the cast without rocking before wax is added: every later height stands on it."
)
SEAL = Words(
    "Scraped only where the clinician marked the vibrating line; depth and place are theirs to decide."
)


def specify_record_base(
    arch: str, *, figures: Figures, prescribed: Prescribed, standard: LabStandard
) -> Specification:
    """Extension, thickness, seal, reliefs and window of one record base; lengths in mm.

    A line in words is prescribed by a text. Raises `InputError` for unknown names and impossible values.
    """
    if arch not in ARCHES:
        raise InputError("arch", arch, ", ".join(ARCHES))
    work = work_on(
        stage=STAGE,
        arch=arch,
        names=DIMENSIONS[arch],
        figures=figures,
        prescribed=prescribed,
        standard=standard,
    )
    return Specification(
        stage=STAGE,
        arch=arch,
        dimensions=tuple(work.line(name) for name in DIMENSIONS[arch]),
        notes=(STABILITY, SEAL, CURING) if arch == "maxillary" else (STABILITY, CURING),
        choices=(standard.schools.sentence("conformity_rule"),),
    )
