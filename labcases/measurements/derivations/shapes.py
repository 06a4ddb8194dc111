"""The shape of this patient's rim, from the cast's readings and the specification's targets."""

from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from math import hypot

from labcases.measurements.derivations.figures import CaseFigures
from labcases.measurements.derivations.lines import (
    Block,
    Derived,
    as_given,
    derived,
    listed,
    name_of,
    number,
    refusal_in_words,
)
from labcases.prosthodontics.arch import MODELS, ArchForm, arch_from_cast
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.materials.wax import (
    SHEET_SOURCE,
    SHEET_THICKNESS,
    WAX_DENSITY,
    WAX_DENSITY_SOURCE,
    strip_length,
    wax_mass,
)
from labcases.prosthodontics.outline import (
    READ,
    RimOutline,
    cast_from_figures,
    missing_figures,
    outline_rim,
    plan_from_figures,
    rim_volume,
    stand_ins,
    with_canine_lines,
)
from labcases.prosthodontics.outline.from_figures import SHAPING_TARGETS
from labcases.prosthodontics.papilla import PapillaPoint
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.standard import Schools
from labcases.prosthodontics.wording import Words, figure, in_a_sentence

SHAPE_SOURCE = Source(Words("geometry of this rim"), Provenance.DERIVED, "H")
# Half the range of wax densities, taken as rectangular.
DENSITY_U = 0.035 / 3**0.5
MODEL = "beta"
NO_RIM = Words("These figures make no rim.")
CORRECTED = Words("{curve} through this cast, with 1 mm added to its width and 1.5 mm to its depth.")
AS_MEASURED = Words("{curve} through this cast, as measured.")


@dataclass(frozen=True, kw_only=True)
class RimShape:
    """What a rim is drawn from, plain and in mm; `canine_lines` are arcs along the face, where they were marked."""

    arch: str
    figures: tuple[tuple[str, Decimal], ...]
    targets: tuple[tuple[str, Decimal], ...]
    papilla_reference: str = "centre"
    corrected: bool = False
    canine_lines: tuple[tuple[str, Decimal], ...] = ()

    @property
    def missing(self) -> tuple[str, ...]:
        """Readings without which there is no outline, by their names in the catalogue."""
        return missing_figures(self.arch, dict(self.figures))

    @cached_property
    def _made(self) -> tuple[RimOutline | None, str]:
        if self.missing:
            names = listed(in_a_sentence(name_of(name)) for name in self.missing)
            words = Words("For this rim's outline at true size measure on the cast: {figures}.")
            return None, words.of(figures=names)
        try:
            return self._outline(), ""
        except InputError as error:
            return None, f"{NO_RIM} {refusal_in_words(error)}"

    def _outline(self) -> RimOutline:
        plan = plan_from_figures(
            self.arch,
            figures={name: float(value) for name, value in self.figures},
            targets={name: float(value) for name, value in self.targets},
            papilla_reference=PapillaPoint(self.papilla_reference),
            model=MODEL,
            corrected=self.corrected,
        )
        marks = {side: float(arc) for side, arc in self.canine_lines}
        return outline_rim(with_canine_lines(plan, **marks))

    @cached_property
    def crest(self) -> ArchForm | None:
        """The ridge's crest alone, which needs no dimension of a rim; None where the cast's figures make none."""
        try:
            cast = cast_from_figures(self.arch, {name: float(value) for name, value in self.figures})
            return arch_from_cast(cast, model=MODEL, corrected=self.corrected)
        except InputError:
            return None

    @property
    def outline(self) -> RimOutline | None:
        """The outline, or None where `obstacle` says what stands against it."""
        return self._made[0]

    @property
    def obstacle(self) -> str:
        return self._made[1]

    @property
    def assumed(self) -> tuple[str, ...]:
        """What was taken for readings that nobody took, in sentences."""
        pairs = stand_ins(self.arch, dict(self.figures), dict(self.targets))
        taken = Words("{figure} was not read: taken as {stand_in}.")
        return tuple(taken.of(figure=name_of(name), stand_in=words) for name, words in pairs)

    @property
    def curve_in_words(self) -> str:
        curve = str(MODELS[MODEL]).split(",")[0]
        words = CORRECTED if self.corrected else AS_MEASURED
        return words.of(curve=curve[:1].upper() + curve[1:])


def shape_of(case: CaseFigures, arch: str, *, as_made: bool = False, marked: bool = False) -> RimShape:
    """The rim of one arch. `as_made`: measured dimensions go before their targets. `marked`: canine lines too."""
    figures = case.of(arch)
    targets = {
        line.name: line.target
        for line in case.lines
        if line.arch == arch and line.target is not None and line.name in SHAPING_TARGETS
    }
    if as_made:
        targets |= {name: figures[name].value for name in SHAPING_TARGETS if name in figures}
    sides = {side: figures.get(f"canine_line_{side}") for side in ("right", "left")} if marked else {}
    return RimShape(
        arch=arch,
        figures=tuple(sorted((name, figures[name].value) for name in READ if name in figures)),
        targets=tuple(sorted((name, _bare(value)) for name, value in targets.items())),
        papilla_reference=case.schools.papilla_reference,
        corrected=case.schools.corrects_arch,
        canine_lines=tuple((side, mark.value) for side, mark in sides.items() if mark),
    )


def _bare(value: Decimal) -> Decimal:
    return value.normalize()


def rim_block(case: CaseFigures, shape: RimShape) -> Block:
    """What the rim's shape comes to: arc and chord between the canine lines, wax by mass and by the strip."""
    title = Words("What this rim comes to")
    outline = shape.outline
    if outline is None:
        return Block(title=title, arch=shape.arch, remarks=(shape.obstacle,))
    remarks = (shape.curve_in_words, *shape.assumed, *outline.notes)
    lines = (*_canine_lines(outline), *_wax(case, shape, outline))
    return Block(
        title=title,
        arch=shape.arch,
        lines=lines,
        remarks=remarks,
        calculator="rim_outline",
        given=_inputs(shape, outline, case.schools),
    )


def _canine_lines(outline: RimOutline) -> tuple[Derived, ...]:
    arc, chord = outline.arc_between_canine_lines, outline.chord_between_canine_lines
    return (
        derived(
            Words("Arc between the canine lines"),
            arc,
            "mm",
            why=Words("Along the labial edge; the straight distance is {chord} mm.").of(chord=number(chord)),
            source=SHAPE_SOURCE,
        ),
        derived(
            Words("Between the lingual edges behind"),
            outline.tongue_space,
            "mm",
            why=Words("Clear distance at the posterior ends of the occlusal surface."),
            source=SHAPE_SOURCE,
        ),
    )


def _wax(case: CaseFigures, shape: RimShape, outline: RimOutline) -> tuple[Derived, ...]:
    """Wax over the crest. Its uncertainty is that of the height times the area, and that of the density."""
    volume = rim_volume(outline)
    mass = wax_mass(volume)
    line = case.target("anterior_height", shape.arch)
    height_u = hypot(float(line.uncertainty or 0) if line else 0.0, case.u("sulcus_to_crest", shape.arch))
    known = hypot(outline.area * height_u / volume, DENSITY_U / WAX_DENSITY)
    width = (outline.plan.anterior_width + outline.plan.posterior_width) / 2
    strip = strip_length(volume, width=width)
    return (
        derived(
            Words("Wax for the rim"),
            mass,
            "g",
            u=mass * known,
            why=Words("{volume} mm³ over the crest at {density} g/cm³; the base is not in it.").of(
                volume=number(volume, 0), density=figure(f"{WAX_DENSITY:g}")
            ),
            source=WAX_DENSITY_SOURCE,
        ),
        derived(
            Words("Strip {width} mm wide from the sheet").of(width=number(width)),
            strip,
            "mm",
            places=0,
            why=Words("The same volume from a sheet of {thickness} mm, folded to the rim's height.").of(
                thickness=figure(f"{SHEET_THICKNESS:g}")
            ),
            source=SHEET_SOURCE,
        ),
    )


def _inputs(shape: RimShape, outline: RimOutline, schools: Schools) -> tuple[tuple[str, str], ...]:
    """The same rim for the calculator of outlines."""
    plan = outline.plan
    figures = {name: float(value) for name, value in shape.figures}
    width = next(
        name for name in ("hamular_notch_width", "tuberosity_width", "pad_to_pad_width") if name in figures
    )
    sides = {
        f"{name}_{side}": value
        for side in ("left", "right")
        for name, value in (
            ("half_width", plan.crest.half_width(side)),
            ("canine_half_width", plan.canine_left if side == "left" else plan.canine_right),
        )
    }
    is_one_sided = len({value for name, value in sides.items() if name.startswith("half")}) > 1
    return as_given(
        {
            "arch": shape.arch,
            **(sides if is_one_sided and not shape.corrected else {}),
            "arch_width": figures[width],
            "arch_depth": figures.get("arch_depth"),
            "canine_eminence_width": figures.get("canine_eminence_width"),
            "canine_eminence_depth": figures.get("canine_eminence_depth"),
            "anterior_width": plan.anterior_width,
            "posterior_width": plan.posterior_width,
            "labial_offset": plan.labial_offset,
            "papilla_reference": schools.papilla_reference if plan.labial_offset is not None else None,
            "papilla_behind_crest": plan.papilla_behind_crest or None,
            "labial_inclination": plan.labial_inclination,
            "anterior_over_crest": plan.heights.anterior,
            "posterior_over_crest_left": plan.heights.posterior_left,
            "posterior_over_crest_right": plan.heights.posterior_right,
            "posterior_end_angle": plan.posterior_end_angle,
        }
    )
