"""Everything a work ticket says, as plain values: the same facts make the same sheet."""

import dataclasses
import hashlib
import json
from dataclasses import dataclass, field
from decimal import Decimal

from django.utils.translation import gettext as _

from labcases.measurements.derivations import Follows
from labcases.prosthodontics.wording import Words
from labcases.tickets.codes import ScanMark
from labcases.tickets.drawing import DimensionFacts, DrawingFacts

# A change of the sheet itself is a change of every ticket: raise this with it.
SHEET = 4


@dataclass(frozen=True, kw_only=True)
class MeasuredFacts:
    """A figure already taken for a line: as printed, with its repeats, verdict, instrument, and who when."""

    figure: str
    repeats: str
    verdict: str
    words: str
    instrument: str
    taken: str


@dataclass(frozen=True, kw_only=True)
class LineFacts:
    """One line of the specification. Without a `target` the line is its `wording`."""

    name: str
    label: str
    target: Decimal | None
    figure: str
    unit: str
    unit_sign: str
    limits: str
    wording: str
    basis: str
    why: str
    source: str
    formula: str
    measurable: bool
    measured: MeasuredFacts | None = None
    spread: str = ""  # ± of some 95 in 100 about a computed target, as printed

    @property
    def is_of_this_patient(self) -> bool:
        """Prescribed or computed: then the reason is read at the bench, beside the figure."""
        return self.basis in ("prescribed", "computed")

    @property
    def on_drawing(self) -> DimensionFacts:
        return DimensionFacts(
            name=self.name,
            label=self.label,
            target=self.target,
            figure=self.figure,
            unit=self.unit,
            limits=self.limits,
            wording=self.wording,
            measured=self.measured.figure if self.measured else "",
            verdict=self.measured.verdict if self.measured else "",
        )


@dataclass(frozen=True, kw_only=True)
class Reason:
    """Why some lines are as they are; lines with one and the same reason stand together."""

    labels: tuple[str, ...]
    basis: str
    why: str
    source: str
    formula: str

    @property
    def names(self) -> str:
        return "; ".join(str(label) for label in self.labels)


@dataclass(frozen=True, kw_only=True)
class ArchFacts:
    """One arch of the specification. `cast` holds readings of the cast that the drawing is made on, mm by name."""

    arch: str
    lines: tuple[LineFacts, ...]
    notes: tuple[str, ...]
    cast: tuple[tuple[str, Decimal], ...] = ()
    papilla_reference: str = "centre"
    pad_level: float = 2 / 3
    corrected: bool = False

    @property
    def title(self) -> str:
        return str(Words(self.arch)).capitalize()

    @property
    def reasons(self) -> tuple[Reason, ...]:
        together: dict[tuple[str, str, str, str], list[str]] = {}
        for line in self.lines:
            together.setdefault((line.basis, line.why, line.source, line.formula), []).append(line.label)
        return tuple(
            Reason(labels=tuple(labels), basis=basis, why=why, source=source, formula=formula)
            for (basis, why, source, formula), labels in together.items()
        )

    def drawn(self, kind: str) -> DrawingFacts:
        return DrawingFacts(
            kind=kind,
            arch=self.arch,
            dimensions={line.name: line.on_drawing for line in self.lines if _has_a_place(line)},
            cast=dict(self.cast),
            papilla_reference=self.papilla_reference,
            pad_level=self.pad_level,
            corrected=self.corrected,
        )


# Lines in words that a drawing can point at; the others are for the table alone.
DRAWN_WORDINGS = frozenset(
    {
        "pad_level",
        "posterior_height_left",
        "posterior_height_right",
        "spacer_thickness",
        "stop_count",
        "stop_size",
    }
)


def _has_a_place(line: LineFacts) -> bool:
    return line.target is not None or line.name in DRAWN_WORDINGS


@dataclass(frozen=True, kw_only=True)
class SpecificationFacts:
    """The issued specification that the work is made to. `rule` says how readings near a limit are decided."""

    revision: int
    issued: str
    issued_by: str
    rule: str
    choices: tuple[str, ...]
    arches: tuple[ArchFacts, ...]


@dataclass(frozen=True, kw_only=True)
class StepFacts:
    """One step of the checklist; `done` says by whom and when, or is empty."""

    text: str
    done: str = ""


@dataclass(frozen=True, kw_only=True)
class FigureFacts:
    """A figure that is taken at this stage without a line that it is held against."""

    label: str
    arch: str
    unit_sign: str
    between: str
    measured: MeasuredFacts | None = None

    @property
    def name(self) -> str:
        return ", ".join(filter(None, (str(self.label), str(Words(self.arch)), self.unit_sign)))


@dataclass(frozen=True, kw_only=True)
class TicketFacts:
    """One stage of one case. Every text is as printed; the patient is a code."""

    laboratory: str
    laboratory_address: str
    case_number: str
    case_kind: str
    arches: str
    practice: str
    practice_code: str
    practice_address: str
    prescriber: str
    licence_number: str
    signed: str
    patient_code: str
    stage_kind: str
    stage: str
    visit: int
    assignee: str
    planned: str
    due: str
    wanted_back: str
    wanted_for: str
    work_description: str
    impression_material: str
    base_material: str
    shade: str
    tooth_wishes: str
    notes: str
    subcontractor: str
    disinfected: tuple[str, ...] = ()
    came_back: str = ""
    specification: SpecificationFacts | None = None
    changes: tuple[str, ...] = ()
    steps: tuple[StepFacts, ...] = ()
    figures: tuple[FigureFacts, ...] = ()
    follows: Follows = field(default_factory=Follows)
    retention_years: int = 10

    @property
    def title(self) -> str:
        return _("Work ticket {number}, {stage}").format(number=self.case_number, stage=self.stage)

    @property
    def figures_to_take(self) -> tuple[FigureFacts, ...]:
        """Figures with room to write them; a stage with a specification has its room there, the rest is typed."""
        return () if self.specification else self.figures

    @property
    def figures_taken(self) -> tuple[FigureFacts, ...]:
        """What is known of this patient beside the specification: to read, not to write."""
        return tuple(each for each in self.figures if each.measured) if self.specification else ()

    @property
    def revision(self) -> int | None:
        return self.specification.revision if self.specification else None


@dataclass(frozen=True, kw_only=True)
class Imprint:
    """What belongs to one print and not to the work: its code, its time, who printed it. `at` is ISO 8601."""

    code: str
    groups: tuple[str, ...]
    mark: ScanMark
    at: str
    printed: str
    printed_by: str


def digest(facts: TicketFacts) -> str:
    """SHA-256 over all facts and the sheet's own version: equal digests mean that a new print would say the same."""
    said = {"sheet": SHEET, "facts": dataclasses.asdict(facts)}
    text = json.dumps(said, sort_keys=True, ensure_ascii=False, default=str)
    return hashlib.sha256(text.encode()).hexdigest()
