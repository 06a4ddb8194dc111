"""What an occlusion rim's outline is asked to be, and the refusal of what no rim can be."""

from __future__ import annotations

from dataclasses import dataclass, field

from labcases.prosthodontics.arch.form import ArchForm
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.papilla import PapillaPoint, convert_offset
from labcases.prosthodontics.wording import Words

ARCHES = ("maxillary", "mandibular")


class ImpossibleRim(InputError):
    """A combination of figures from which no rim can be made; `.allowed` says what would be possible."""


@dataclass(frozen=True, kw_only=True)
class CrestHeights:
    """Wax over the crest of the ridge up to the occlusal surface, mm: in front and at both posterior ends.

    Delivered figures: posterior about 8 from the centre of the ridge (a published teaching set), anterior 10
    (common practice). Heights from the sulcus are another figure; see `over_crest`.
    """

    anterior: float = 10.0
    posterior_left: float = 8.0
    posterior_right: float = 8.0


def over_crest(height_from_sulcus: float, sulcus_to_crest: float) -> float:
    """Wax over the crest (mm) from the rim's whole height over the sulcus and the sulcus' own depth."""
    wax = height_from_sulcus - sulcus_to_crest
    if wax <= 0:
        raise ImpossibleRim(
            "sulcus_to_crest",
            round(sulcus_to_crest, 2),
            Words("less than the rim's height, {height_from_sulcus:g} mm").of(
                height_from_sulcus=height_from_sulcus
            ),
        )
    return wax


@dataclass(frozen=True, kw_only=True)
class RimPlan:
    """A rim on a crest. Lengths in mm, angles in degrees.

    crest: the arch form of the ridge crest. anterior_width, posterior_width: of the occlusal surface.
    labial_offset: from the papilla point to the labial face at the midline, None: the rim is centred over the
    crest in front too. papilla_behind_crest: from the crest's apex back to the centre of the papilla.
    canine_left, canine_right: midline to the crest under the canine lines.
    labial_inclination: between labial face and occlusal plane; 90 upright, more leans towards the lip.
    posterior_end_angle: slope of the posterior ends against the occlusal plane. end_clearance: from the
    crest's posterior landmark to the foot of that slope.
    """

    arch: str
    crest: ArchForm
    anterior_width: float
    posterior_width: float
    canine_left: float
    canine_right: float
    labial_offset: float | None = None
    papilla_reference: PapillaPoint = PapillaPoint.CENTRE
    papilla_behind_crest: float = 0.0
    labial_inclination: float = 90.0
    heights: CrestHeights = field(default_factory=CrestHeights)
    posterior_end_angle: float = 45.0
    end_clearance: float = 2.0

    @property
    def shift(self) -> float:
        """How far the middle of the rim stands in front of the crest at the midline, mm."""
        if self.labial_offset is None:
            return 0.0
        from_centre = convert_offset(self.labial_offset, self.papilla_reference, PapillaPoint.CENTRE)
        return from_centre - self.papilla_behind_crest - self.anterior_width / 2


LIMITS: dict[str, tuple[float, float, str]] = {
    "anterior_width": (1.0, 20.0, "mm"),
    "posterior_width": (2.0, 25.0, "mm"),
    "labial_offset": (0.0, 20.0, "mm"),
    "papilla_behind_crest": (-5.0, 10.0, "mm"),
    "labial_inclination": (60.0, 135.0, "degrees"),
    "posterior_end_angle": (10.0, 90.0, "degrees"),
    "end_clearance": (0.0, 25.0, "mm"),
}
HEIGHT_LIMITS = (1.0, 35.0)
HEIGHT_NAMES = {
    "anterior": "anterior_over_crest",
    "posterior_left": "posterior_over_crest_left",
    "posterior_right": "posterior_over_crest_right",
}


def check_plan(plan: RimPlan) -> None:
    """Refuse, in words, a plan with a figure that no rim has."""
    if plan.arch not in ARCHES:
        raise ImpossibleRim("arch", plan.arch, " or ".join(ARCHES))
    for name, (low, high, unit) in LIMITS.items():
        value = getattr(plan, name)
        if value is not None and not low <= value <= high:
            raise ImpossibleRim(
                name, round(value, 3), Words("{low:g} to {high:g} {unit}").of(low=low, high=high, unit=unit)
            )
    for name in ("anterior", "posterior_left", "posterior_right"):
        value, (low, high) = getattr(plan.heights, name), HEIGHT_LIMITS
        if not low <= value <= high:
            raise ImpossibleRim(
                HEIGHT_NAMES[name], round(value, 3), Words("{low:g} to {high:g} mm").of(low=low, high=high)
            )
    _check_together(plan)


def _check_together(plan: RimPlan) -> None:
    if plan.posterior_width < plan.anterior_width:
        raise ImpossibleRim(
            "posterior_width",
            round(plan.posterior_width, 3),
            Words(
                "at least the anterior width, {anterior_width:.4g} mm: a rim never narrows towards the back"
            ).of(anterior_width=plan.anterior_width),
        )
    for side, canine in (("left", plan.canine_left), ("right", plan.canine_right)):
        limit = plan.crest.half_width(side)
        if not 5.0 <= canine <= 0.9 * limit:
            raise ImpossibleRim(
                f"canine_half_width_{side}",
                round(canine, 3),
                Words("5 to {most:.1f} mm on this crest").of(most=0.9 * limit),
            )
