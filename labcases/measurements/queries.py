"""Reads of figures: what stands, what was prescribed, what was specified, what the check still has to say."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Count, QuerySet
from django.utils.translation import gettext as _

from labcases.cases.choices import CaseState, Location, Place, StageState
from labcases.cases.models import Case, Stage
from labcases.cases.rules import may_be_started
from labcases.measurements.choices import ForMany, Verdict
from labcases.measurements.models import (
    LabStandard,
    Mould,
    MouldList,
    PrescribedDimension,
    Reading,
    Specification,
    SpecificationLine,
)
from labcases.measurements.rules import judgement_of
from labcases.people.models import User
from labcases.prosthodontics import teeth
from labcases.prosthodontics.conformity import Judgement
from labcases.prosthodontics.quantities import QUANTITIES, Quantity, quantities_for
from labcases.prosthodontics.specification import lines as core
from labcases.prosthodontics.specification.basis import Figure
from labcases.prosthodontics.teeth.moulds import FIGURES as MOULD_FIGURES
from labcases.prosthodontics.wording import Words, in_a_sentence

SPECIFIED_STAGES = ("custom_tray", "record_base", "occlusion_rims")
# By stage first: a slip of an earlier stage that is corrected later does not thereby become the newest figure.
IN_ORDER = ("stage__position", "measured_at", "pk")


def standing_readings(case: Case) -> list[Reading]:
    """Every reading of a case that no correction superseded, in the order of its stages, the oldest first."""
    return list(case.readings.standing().select_related("by", "stage").order_by(*IN_ORDER))


def reading_seen_by(user: User, pk: int) -> Reading:
    """One reading with its stage and case; raises Reading.DoesNotExist where this person cannot see it."""
    found = Reading.objects.visible_to(user).select_related(
        "by", "superseded_by", "line", "stage__case__practice", "stage__assignee"
    )
    return found.get(pk=pk)


def figures_of(readings: Iterable[Reading], arch: str) -> dict[str, Figure]:
    """The newest standing figure of each quantity of an arch, or of the patient, as the core takes it."""
    return {
        reading.quantity: Figure(reading.value.normalize(), reading.uncertainty)
        for reading in readings
        if reading.arch in (arch, "")
    }


def prescribed_for(case: Case, stage_kind: str) -> dict[str, dict[str, Decimal]]:
    """Prescribed dimensions by arch and name; the latest row of each counts, an empty one takes it back."""
    latest: dict[tuple[str, str], Decimal | None] = {}
    for row in case.prescribed.filter(stage_kind=stage_kind).order_by("at", "pk"):
        latest[row.arch, row.dimension] = row.value
    found: dict[str, dict[str, Decimal]] = {}
    for (arch, dimension), value in latest.items():
        if value is not None:
            found.setdefault(arch, {})[dimension] = value
    return found


def prescribed_rows(case: Case) -> QuerySet[PrescribedDimension]:
    return case.prescribed.select_related("by").order_by("-at", "-pk")


def revisions(case: Case, stage_kind: str) -> QuerySet[Specification]:
    return (
        case.specifications.filter(stage_kind=stage_kind)
        .select_related("issued_by", "standard")
        .prefetch_related("lines")
        .order_by("-revision")
    )


def specifications_of(case: Case) -> QuerySet[Specification]:
    """Every issued specification of a case with its lines, by stage, the newest revision first."""
    return (
        case.specifications.select_related("issued_by")
        .prefetch_related("lines")
        .order_by("stage_kind", "-revision")
    )


def current_specification(case: Case, stage_kind: str) -> Specification | None:
    return revisions(case, stage_kind).first()


def lines_in_force(case: Case, stage_kind: str) -> list[SpecificationLine]:
    """The lines of the current specification of a stage, each with its standard at hand; in one read."""
    current = case.specifications.filter(stage_kind=stage_kind).order_by("-revision").values("pk")[:1]
    found = SpecificationLine.objects.filter(specification=current).order_by("position")
    return list(found.select_related("specification__standard"))


def pure_line(line: SpecificationLine) -> core.Dimension:
    return core.Dimension(
        name=line.name,
        label=Words(line.label),
        arch=line.arch,
        target=_bare(line.target),
        lower=_bare(line.lower),
        upper=_bare(line.upper),
        unit=line.unit,
        basis=core.Basis(line.basis),
        source=Words(line.source),
        why=Words(line.why),
        wording=Words(line.wording),
        uncertainty=_bare(line.uncertainty),
        measurable=line.measurable,
        formula=Words(line.formula),
    )


def pure_specification(specification: Specification, arch: str) -> core.Specification:
    """One arch of an issued specification as the core's plain value."""
    return core.Specification(
        stage=specification.stage_kind,
        arch=arch,
        dimensions=tuple(pure_line(line) for line in specification.lines.all() if line.arch == arch),
        notes=tuple(Words(note["text"]) for note in specification.notes if note["arch"] == arch),
        choices=tuple(Words(note["text"]) for note in specification.notes if note["arch"] == ""),
    )


def changes_between(old: Specification, new: Specification) -> list[tuple[str, core.Change]]:
    """What changed from one revision to the next, each with its arch."""
    return [
        (arch, change)
        for arch in new.case.arch_names
        for change in core.differences(pure_specification(old, arch), pure_specification(new, arch))
    ]


def _bare(value: Decimal | None) -> Decimal | None:
    """Without the zeros that the column added: 21.500 reads 21.5."""
    if value is None:
        return None
    bare = value.normalize()
    return bare if bare.as_tuple().exponent < 0 else bare.quantize(Decimal(1))


@dataclass(frozen=True)
class Box:
    """One figure to take at a stage: its quantity and arch, the line it is held against, what stands so far."""

    quantity: Quantity
    arch: str
    line: SpecificationLine | None
    standing: Reading | None
    corrected: tuple[Reading, ...]
    before: Reading | None

    @property
    def judgement(self) -> Judgement | None:
        """The verdict by the line that holds now; the reading itself keeps what was said when it was taken."""
        return judgement_of(self.standing, self.line) if self.standing else None

    @property
    def words(self) -> str:
        return f"{self.quantity.label}, {Words(self.arch)}" if self.arch else str(self.quantity.label)

    @property
    def key(self) -> str:
        return f"{self.arch or 'patient'}-{self.quantity.name}"


@dataclass(frozen=True)
class Finding:
    """Why a stage is not simply finished: a figure outside, to be measured again, or nothing measured."""

    box: Box
    kind: str
    words: str

    @property
    def is_outside(self) -> bool:
        return self.kind == Verdict.OUTSIDE


def every_reading(case: Case) -> list[Reading]:
    """All readings of a case, the corrected ones too, in the order of its stages, the oldest first."""
    return list(case.readings.select_related("by", "line", "superseded_by", "stage").order_by(*IN_ORDER))


def those_standing(readings: Iterable[Reading]) -> list[Reading]:
    """Those of `every_reading` that no correction superseded."""
    return [reading for reading in readings if not hasattr(reading, "superseded_by")]


def boxes_for(
    stage: Stage, specification: Specification | None, *, readings: list[Reading] | None = None
) -> list[Box]:
    """The figures to take at a stage, in order of entry: what its specification asks, then the catalogue's own.

    `readings` are all of the case, read here unless given.
    """
    readings = every_reading(stage.case) if readings is None else readings
    asked = [(line.name, line.arch, line) for line in specification.lines.all()] if specification else []
    asked = [(name, arch, line) for name, arch, line in asked if line.measurable and name in QUANTITIES]
    named = {(name, arch) for name, arch, _ in asked}
    for kind in quantities_for(stage=stage.kind, taken_by=stage.place):
        arches = [arch for arch in stage.case.arch_names if arch in kind.arches] if kind.arches else [""]
        asked += [(kind.name, arch, None) for arch in arches if (kind.name, arch) not in named]
    return [_box(stage, name, arch, line, readings) for name, arch, line in asked]


def asks_for_figures(stage: Stage) -> bool:
    """Whether a specification asks for figures of this stage; what else can be measured there may be left out."""
    return stage.kind in SPECIFIED_STAGES


@dataclass(frozen=True)
class StepForMany:
    """The one thing that moves a case on and could be done to many at once, or why there is none, in words."""

    act: str = ""
    words: str = ""


def step_for_many(case: Case) -> StepForMany:
    """`case` comes with its current stage."""
    stage = case.current_stage
    if not case.is_open or stage is None:
        return StepForMany(
            words=_("The case is {state}.").format(state=in_a_sentence(case.get_state_display()))
        )
    if case.location == Location.TO_LABORATORY:
        return StepForMany(ForMany.RECEIVE, _("Has not been received yet."))
    if case.state == CaseState.OPEN and stage.place == Place.CLINIC:
        ready = case.location == Location.LABORATORY
        if ready:
            return StepForMany(ForMany.HAND_OVER, _("Is ready for the clinic."))
        place = in_a_sentence(case.get_location_display())
        return StepForMany(words=_("Is {place}.").format(place=place))
    return _step_at_bench(case, stage)


def _step_at_bench(case: Case, stage: Stage) -> StepForMany:
    label = in_a_sentence(stage.label)
    if stage.state == StageState.IN_PROGRESS and case.state == CaseState.OPEN:
        if asks_for_figures(stage):
            return StepForMany(
                words=_("Figures are taken at {stage}: finish it on its own sheet.").format(stage=label)
            )
        return StepForMany(ForMany.FINISH, _("Is at work: {stage}.").format(stage=label))
    if stage.state == StageState.ON_HOLD:
        return StepForMany(words=_("Is on hold: {reason}").format(reason=stage.hold_reason))
    obstacle = may_be_started(case, stage)
    return StepForMany(
        "" if obstacle else ForMany.START, obstacle or _("Waits for {stage}.").format(stage=label)
    )


def _box(stage: Stage, name: str, arch: str, line: SpecificationLine | None, readings: list[Reading]) -> Box:
    same = [reading for reading in readings if reading.quantity == name and reading.arch == arch]
    here = [reading for reading in same if reading.stage_id == stage.pk]
    standing = [reading for reading in here if not hasattr(reading, "superseded_by")]
    earlier = [r for r in same if r.stage.position < stage.position and not hasattr(r, "superseded_by")]
    return Box(
        quantity=QUANTITIES[name],
        arch=arch,
        line=line,
        standing=standing[-1] if standing else None,
        corrected=tuple(reading for reading in here if reading not in standing[-1:]),
        before=earlier[-1] if earlier else None,
    )


def findings(boxes: Iterable[Box]) -> list[Finding]:
    """What stands against simply finishing a stage, of the figures that its specification asks.

    A laboratory measures what matters for this patient, so a single figure left out is no finding; that nothing
    at all was measured is one.
    """
    asked = [box for box in boxes if box.line is not None]
    if asked and all(box.standing is None for box in asked):
        words = _("Nothing of what the specification asks has been measured yet.")
        return [Finding(asked[0], "missing", words)]
    return [finding for box in asked for finding in _finding(box)]


def not_measured(boxes: Iterable[Box]) -> list[str]:
    """The figures that the specification asks and that nobody took, in words for the log."""
    return [box.words for box in boxes if box.line is not None and box.standing is None]


def _finding(box: Box) -> list[Finding]:
    judgement = box.judgement
    if judgement and judgement.verdict != Verdict.WITHIN:
        return [Finding(box, judgement.verdict.value, f"{box.words}: {judgement.words}")]
    return []


def lab_standards() -> list[LabStandard]:
    """Every standard that the laboratory wrote, with its figures, the one that holds latest first."""
    return list(LabStandard.objects.select_related("made_by").prefetch_related("norms"))


def current_mould_list() -> MouldList | None:
    """The list that was imported last, with its moulds."""
    return MouldList.objects.select_related("imported_by").prefetch_related("moulds").first()


def earlier_mould_lists() -> QuerySet[MouldList]:
    """The lists before the current one, newest first, each with the count of its moulds."""
    counted = MouldList.objects.select_related("imported_by").annotate(size=Count("moulds"))
    return counted.order_by("-number")[1:]


def moulds_at_hand() -> tuple[teeth.Mould, ...]:
    """The moulds of the current list, in one read."""
    newest = MouldList.objects.order_by("-number").values("pk")[:1]
    return _plain(Mould.objects.filter(list=newest).order_by("position"))


def plain_moulds(stored: MouldList | None) -> tuple[teeth.Mould, ...]:
    """The moulds of a list as the core takes them, in their order; none where there is no list."""
    return _plain(stored.moulds.all()) if stored else ()


def _plain(rows: Iterable[Mould]) -> tuple[teeth.Mould, ...]:
    return tuple(teeth.Mould(row.name, *(getattr(row, name) for name in MOULD_FIGURES)) for row in rows)
