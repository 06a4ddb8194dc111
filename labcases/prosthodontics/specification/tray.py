"""What a custom tray is made to, by the impression material that it will carry."""

from dataclasses import replace
from decimal import Decimal

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.quantities import ARCHES
from labcases.prosthodontics.specification.basis import Figures, Prescribed, Work, work_on
from labcases.prosthodontics.specification.lines import Basis, Dimension, Specification
from labcases.prosthodontics.standard import MATERIALS, LabStandard
from labcases.prosthodontics.wording import Words, figure

STAGE = "custom_tray"
DIMENSIONS = {
    "maxillary": (
        "spacer_thickness",
        "stop_count",
        "stop_size",
        "border_short_of_sulcus",
        "tray_extension",
        "tray_thickness",
        "handle_height",
        "handle_width",
        "handle_thickness",
        "handle_form",
        "vent",
    ),
    "mandibular": (
        "spacer_thickness",
        "stop_count",
        "stop_size",
        "border_short_of_sulcus",
        "tray_extension",
        "tray_thickness",
        "handle_height",
        "handle_width",
        "handle_thickness",
        "handle_form",
        "finger_rests",
        "finger_rest_height",
        "vent",
    ),
}
# Below this a spacer is no more than a film, and there is nothing for a stop to hold off.
THINNEST_SPACER_WITH_STOPS = Decimal("0.8")
FOR_MATERIAL = Words("For {material}.")
WAITING = Words(
    "A cold-curing tray rests for 24 hours before it is used, or 5 minutes in boiling water; a light- "
    "cured one can be "
    "used at once (common practice, no source). The material's own instructions go first."
)


STOPS = {
    "maxillary": Words(
        "Stops through the spacer stand at the canines and in the palate, on firm tissue "
        "(common practice, no source)."
    ),
    "mandibular": Words(
        "Stops through the spacer stand over the crest, front and sides, on firm tissue "
        "(common practice, no source)."
    ),
}


def specify_tray(
    arch: str,
    *,
    impression_material: str | None,
    figures: Figures,
    prescribed: Prescribed,
    standard: LabStandard,
) -> Specification:
    """Spacer, stops, borders, thickness, handle and rests of one custom tray; lengths in mm.

    The material's key is one of `MATERIALS`, or None where it isn't known yet: then the spacer stays open
    unless the laboratory's school sets it. Raises `InputError` for unknown names and impossible values.
    """
    _check(arch, impression_material)
    work = work_on(
        stage=STAGE,
        arch=arch,
        names=DIMENSIONS[arch],
        figures=figures,
        prescribed=prescribed,
        standard=standard,
    )
    spacer = _spacer(work, impression_material)
    return Specification(
        stage=STAGE,
        arch=arch,
        dimensions=(spacer, *(_line(work, name, spacer) for name in DIMENSIONS[arch][1:])),
        notes=(*_notes(work, impression_material, spacer), WAITING),
        choices=(standard.schools.sentence("spacer"), standard.schools.sentence("conformity_rule")),
    )


def _check(arch: str, material: str | None) -> None:
    if arch not in ARCHES:
        raise InputError("arch", arch, ", ".join(ARCHES))
    if material is not None and material not in MATERIALS:
        raise InputError("impression_material", material, ", ".join(MATERIALS))


def _spacer(work: Work, material: str | None) -> Dimension:
    school = work.standard.schools.spacer
    key = material if school == "by_material" else school
    if key is not None:
        because = f"{FOR_MATERIAL.of(material=MATERIALS[key])} " if key == material else ""
        return work.line("spacer_thickness", key=f"spacer_thickness_{key}", because=because)
    if "spacer_thickness" in work.prescribed:
        return work.line("spacer_thickness")
    return _open_spacer(work)


def _open_spacer(work: Work) -> Dimension:
    """Any figure will do as the pattern of a line that must not have one yet."""
    pattern = work.line("spacer_thickness", key="spacer_thickness_alginate")
    return replace(
        pattern,
        target=None,
        lower=None,
        upper=None,
        source=work.standard.words,
        why=Words("The spacer follows the impression material, and none is stated."),
        wording=Words("Ask the prescriber for the impression material before the spacer is laid."),
        measurable=False,
    )


def _line(work: Work, name: str, spacer: Dimension) -> Dimension:
    line = work.line(name)
    if not name.startswith("stop_") or line.basis is Basis.PRESCRIBED or not _close_fitting(spacer):
        return line
    return replace(
        line,
        target=None,
        lower=None,
        upper=None,
        wording=Words("No stops: the tray fits closely."),
        why=Words("Stops keep a spacer's distance, and this tray has no spacer to speak of."),
        measurable=False,
    )


def _close_fitting(spacer: Dimension) -> bool:
    return spacer.target is not None and spacer.target < THINNEST_SPACER_WITH_STOPS


def _notes(work: Work, material: str | None, spacer: Dimension) -> list[str]:
    notes = []
    if material is not None and work.standard.schools.spacer != "by_material":
        usual = work.norm(f"spacer_thickness_{material}")
        if usual is not None and usual.target != spacer.target:
            alone = Words("For {material} alone the spacer would be {thickness} mm.")
            notes.append(alone.of(material=MATERIALS[material], thickness=figure(str(usual.target))))
    if not _close_fitting(spacer):
        notes.append(STOPS[work.arch])
    return notes
