"""From a case's readings, by their names in the catalogue of quantities, to a cast and a plan for its rim."""

from __future__ import annotations

from collections.abc import Mapping

from labcases.prosthodontics.arch import CastMeasurements, SideMeasurements, arch_from_cast
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.outline.plan import ARCHES, CrestHeights, ImpossibleRim, RimPlan, over_crest
from labcases.prosthodontics.papilla import PapillaPoint
from labcases.prosthodontics.wording import Words

# The first of each that has a reading is taken.
WIDTHS = {"maxillary": ("hamular_notch_width", "tuberosity_width"), "mandibular": ("pad_to_pad_width",)}
DEPTHS = ("arch_depth",)
CANINES = ("canine_eminence_width",)
SIDES = ("left", "right")
# Used where they were taken too.
FURTHER = (
    "canine_eminence_depth",
    "papilla_behind_crest",
    "sulcus_to_crest",
    *(
        f"{name}_{side}"
        for name in ("posterior_sulcus_to_crest", "posterior_half_width", "canine_half_width")
        for side in SIDES
    ),
)
READ = (*WIDTHS["maxillary"], *WIDTHS["mandibular"], *DEPTHS, *CANINES, *FURTHER)
# Taken where the papilla's place was not read, mm, so that a rim can be drawn at all (from memory, unverified).
USUAL_PAPILLA_BEHIND_CREST = 2.0
NEEDED_TARGETS = ("anterior_width", "posterior_width")
OPTIONAL_TARGETS = ("labial_offset", "labial_inclination", "posterior_end_angle")
# Every target of a specification that the shape of its rim follows from.
SHAPING_TARGETS = (
    *NEEDED_TARGETS,
    *OPTIONAL_TARGETS,
    "anterior_height",
    *(f"posterior_height_{side}" for side in SIDES),
)


def missing_figures(arch: str, figures: Mapping[str, object]) -> tuple[str, ...]:
    """Which readings are still needed before the rim can be drawn at true size; empty when none is."""
    needed = (WIDTHS[_arch(arch)], DEPTHS, CANINES)
    return tuple(names[0] for names in needed if not any(name in figures for name in names))


def cast_from_figures(arch: str, figures: Mapping[str, float]) -> CastMeasurements:
    """The cast from its readings in mm; InputError names the first that is missing.

    The two sides are halves of the whole widths, unless a side was measured by itself: then it has its own
    width and the other side what is left.
    """
    missing = missing_figures(arch, figures)
    if missing:
        raise InputError(missing[0], None, Words("a reading in mm; without it the arch form is not known"))
    depth, canine_depth = _first(figures, DEPTHS), figures.get("canine_eminence_depth")
    posterior = _sides(figures, "posterior_half_width", _first(figures, WIDTHS[arch]))
    canine = _sides(figures, "canine_half_width", _first(figures, CANINES))
    left, right = (
        SideMeasurements(
            half_width=posterior[side],
            depth=depth,
            canine_half_width=canine[side],
            canine_depth=None if canine_depth is None else float(canine_depth),
        )
        for side in SIDES
    )
    return CastMeasurements(arch=arch, left=left, right=right)


def stand_ins(
    arch: str, figures: Mapping[str, object], targets: Mapping[str, object]
) -> tuple[tuple[str, str], ...]:
    """Which readings `plan_from_figures` does without, each with what it takes instead, in words."""
    usual, found = CrestHeights(), []
    if arch == "maxillary" and "labial_offset" in targets and "papilla_behind_crest" not in figures:
        found.append(
            (
                "papilla_behind_crest",
                Words("{usual:g} mm (from memory, unverified)").of(usual=USUAL_PAPILLA_BEHIND_CREST),
            )
        )
    if "sulcus_to_crest" not in figures:
        found.append(
            (
                "sulcus_to_crest",
                Words("{anterior:g} mm of wax over the crest (common practice)").of(anterior=usual.anterior),
            )
        )
    for side in SIDES if arch == "maxillary" else ():
        if f"posterior_sulcus_to_crest_{side}" not in figures:
            words = Words("{posterior_left:g} mm of wax over the crest (a published teaching set)").of(
                posterior_left=usual.posterior_left
            )
            found.append((f"posterior_sulcus_to_crest_{side}", words))
    return tuple(found)


def crest_heights(arch: str, figures: Mapping[str, float], targets: Mapping[str, float]) -> CrestHeights:
    """Wax over the crest (mm) from the specified heights and the depth of the sulcus to the crest.

    A height whose depth was not read stays at the delivered figure. Behind, a lower rim's height starts at the
    foot of the retromolar pad, which is taken to lie level with the crest. ImpossibleRim where none is left.
    """
    found = {"anterior": _wax(figures, targets, "anterior_height", "sulcus_to_crest")}
    for side in SIDES:
        name = f"posterior_height_{side}"
        if arch == "mandibular":
            found[f"posterior_{side}"] = float(targets[name]) if name in targets else None
        else:
            found[f"posterior_{side}"] = _wax(figures, targets, name, f"posterior_sulcus_to_crest_{side}")
    return CrestHeights(**{name: height for name, height in found.items() if height is not None})


def plan_from_figures(
    arch: str,
    *,
    figures: Mapping[str, float],
    targets: Mapping[str, float],
    papilla_reference: PapillaPoint = PapillaPoint.CENTRE,
    heights: CrestHeights | None = None,
    model: str = "beta",
    corrected: bool = False,
) -> RimPlan:
    """The plan for a rim: the cast's readings (mm) and the targets of its specification by dimension name.

    `targets` needs both widths; heights, offset, inclination and end angle are used where given. Anything else
    in either mapping is left alone. `heights` over the crest go before those that follow from the targets.
    """
    cast = cast_from_figures(arch, figures)
    for name in NEEDED_TARGETS:
        if name not in targets:
            raise InputError(name, None, Words("a target in mm from the rim's specification"))
    wanted = {name: float(targets[name]) for name in OPTIONAL_TARGETS if name in targets}
    if arch == "maxillary":
        wanted["papilla_behind_crest"] = float(
            figures.get("papilla_behind_crest", USUAL_PAPILLA_BEHIND_CREST)
        )
    return RimPlan(
        arch=arch,
        crest=arch_from_cast(cast, model=model, corrected=corrected),
        anterior_width=float(targets["anterior_width"]),
        posterior_width=float(targets["posterior_width"]),
        canine_left=_canine(cast.left),
        canine_right=_canine(cast.right),
        papilla_reference=papilla_reference,
        heights=heights or crest_heights(arch, figures, targets),
        **wanted,
    )


def _canine(side: SideMeasurements) -> float:
    if side.canine_half_width is None:
        raise ImpossibleRim("canine_eminence_width", None, Words("a reading in mm"))
    return side.canine_half_width


def _sides(figures: Mapping[str, float], name: str, whole: float) -> dict[str, float]:
    own = {side: float(figures[f"{name}_{side}"]) for side in SIDES if f"{name}_{side}" in figures}
    if len(own) == 1:
        [(side, half)] = own.items()
        own["left" if side == "right" else "right"] = whole - half
    return own or dict.fromkeys(SIDES, whole / 2)


def _wax(figures: Mapping[str, float], targets: Mapping[str, float], height: str, depth: str) -> float | None:
    if height not in targets or depth not in figures:
        return None
    return over_crest(float(targets[height]), float(figures[depth]))


def _first(figures: Mapping[str, float], names: tuple[str, ...]) -> float:
    return float(next(figures[name] for name in names if name in figures))


def _arch(arch: str) -> str:
    if arch not in ARCHES:
        raise InputError("arch", arch, " or ".join(ARCHES))
    return arch
