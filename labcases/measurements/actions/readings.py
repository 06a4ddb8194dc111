"""Recording what was measured. A reading is checked, judged and kept; a correction adds, never overwrites."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.conf import settings
from django.db import transaction
from django.utils import translation
from django.utils.translation import gettext as _

from labcases.cases.actions.guards import locked, log, require_not_cancelled, stage_conflict
from labcases.cases.actions.moves import require_place
from labcases.cases.choices import OPEN_STATES, Act
from labcases.cases.models import Case, Stage
from labcases.cases.rules import laboratory_day
from labcases.measurements.actions.specifying import reissue
from labcases.measurements.models import Reading, SpecificationLine
from labcases.measurements.queries import current_specification
from labcases.measurements.rules import READ_ON_AN_INSTRUMENT, estimate_for, judgement_of, plain_figure
from labcases.measurements.standards import plain_standard, stored_standard
from labcases.people.models import User
from labcases.people.refusals import Conflict, Refused
from labcases.prosthodontics.quantities import Quantity, quantity
from labcases.prosthodontics.specification.lines import with_unit
from labcases.prosthodontics.uncertainty import instruments_for
from labcases.prosthodontics.wording import Words, figure, in_a_sentence

MOST_REPEATS = 3


@dataclass(frozen=True)
class Entry:
    """One figure as entered: one to three repeats in the quantity's unit, and the instrument they were read on."""

    quantity: str
    arch: str
    values: tuple[Decimal, ...]
    instrument: str
    confirmed: bool = False


class Unusual(Refused):
    """Figures outside the usual range that nobody confirmed yet; nothing was kept, the page asks once more."""

    def __init__(self, entries: Sequence[Entry]) -> None:
        names = ", ".join(_in_words(entry) for entry in entries)
        super().__init__(_("Unusual, please look once more: {figures}.").format(figures=names))
        self.entries = tuple(entries)


@transaction.atomic
def record_readings(
    *,
    stage: Stage,
    entries: Sequence[Entry],
    by: User,
    now: datetime.datetime,
    measured_at: datetime.datetime | None = None,
) -> list[Reading]:
    """Keep figures taken at an open stage, each judged against its specification's line, all of them or none.

    Raises InputError for an impossible figure, Unusual for unconfirmed ones, Conflict when a figure of the same
    quantity already stands at this stage (correct that one instead).
    """
    kept = keep_readings(stage=stage, entries=entries, by=by, now=now, measured_at=measured_at)
    reissue(case=stage.case, by=by, now=now)
    return kept


@transaction.atomic
def correct_reading(
    *, reading: Reading, entry: Entry, reason: str, by: User, now: datetime.datetime
) -> Reading:
    """Put a further reading in the place of one that was wrong; the old one stays, struck through."""
    kept = keep_correction(reading=reading, entry=entry, reason=reason, by=by, now=now)
    reissue(case=reading.case, by=by, now=now)
    return kept


@transaction.atomic
def keep_readings(
    *,
    stage: Stage,
    entries: Sequence[Entry],
    by: User,
    now: datetime.datetime,
    measured_at: datetime.datetime | None = None,
) -> list[Reading]:
    """`record_readings` for a caller with more to write, who issues the changed specifications once at the end."""
    require_place(stage, by)
    check_entries(entries)
    case = locked(stage.case_id)
    require_not_cancelled(case)
    if not Stage.objects.filter(pk=stage.pk, state__in=OPEN_STATES).exists():
        raise stage_conflict(stage)
    require_free(stage, entries)
    return write_readings(
        stage=stage, entries=entries, by=by, now=now, measured_at=measured_at or now, case=case
    )


@transaction.atomic
def keep_correction(
    *, reading: Reading, entry: Entry, reason: str, by: User, now: datetime.datetime
) -> Reading:
    """`correct_reading` for a caller with more to write, who issues the changed specifications once at the end."""
    if not reason.strip():
        raise Refused(_("Say why the figure is corrected."))
    stage = reading.stage
    require_place(stage, by)
    check_entries([entry])
    case = locked(stage.case_id)
    if not case.is_open:
        raise Refused(
            _("Case {number} is {state}; its figures stay as they are.").format(
                number=case.number, state=in_a_sentence(case.get_state_display())
            )
        )
    if (entry.quantity, entry.arch) != (reading.quantity, reading.arch):
        raise Refused(_("A correction is of the same figure."))
    _require_uncorrected(reading)
    return write_readings(
        stage=stage,
        entries=[entry],
        by=by,
        now=now,
        measured_at=now,
        case=case,
        supersedes=reading,
        reason=reason.strip(),
    )[0]


def _require_uncorrected(reading: Reading) -> None:
    later = Reading.objects.filter(supersedes=reading).select_related("by").first()
    if later:
        raise Conflict(
            _("This figure was already corrected to {value} {unit}.").format(
                value=figure(plain_figure(later.value)), unit=later.unit
            ),
            who=str(later.by),
            when=later.entered_at,
            what=Act.CORRECTION.label,
        )


def check_entries(entries: Sequence[Entry]) -> None:
    """Refuse impossible figures outright, and unusual ones until they are confirmed."""
    for entry in entries:
        _check_entry(entry)
    unusual = [entry for entry in entries if not entry.confirmed and _is_unusual(entry)]
    if unusual:
        raise Unusual(unusual)


def write_readings(
    *,
    stage: Stage,
    entries: Sequence[Entry],
    by: User,
    now: datetime.datetime,
    measured_at: datetime.datetime,
    case: Case,
    supersedes: Reading | None = None,
    reason: str = "",
) -> list[Reading]:
    """Write checked entries and log each. The caller holds the lock, and issues the specifications they change."""
    if measured_at > now:
        raise Refused(_("A figure cannot have been measured later than now."))
    specification = current_specification(case, stage.kind)
    lines = {(line.arch, line.name): line for line in specification.lines.all()} if specification else {}
    repeatability = plain_standard(stored_standard(laboratory_day(now))).schools.single_reading_repeatability
    kept = []
    for entry in entries:
        estimate = estimate_for(entry.quantity, entry.values, entry.instrument, repeatability=repeatability)
        reading = Reading(
            case=case,
            stage=stage,
            quantity=entry.quantity,
            arch=entry.arch,
            repeats=[str(value) for value in entry.values],
            value=round(estimate.value, 3),
            uncertainty=round(estimate.u, 4),
            unit=quantity(entry.quantity).unit,
            instrument=entry.instrument,
            by=by,
            measured_at=measured_at,
            entered_at=now,
            supersedes=supersedes,
            reason=reason,
        )
        with translation.override(settings.LANGUAGE_CODE):
            _judge(reading, lines.get((entry.arch, entry.quantity)))
        reading.save(force_insert=True)
        _log_reading(reading, by=by, now=now)
        kept.append(reading)
    return kept


def _log_reading(reading: Reading, *, by: User, now: datetime.datetime) -> None:
    earlier = reading.supersedes
    log(
        reading.case,
        Act.CORRECTION if earlier else Act.READING,
        by=by,
        now=now,
        stage=reading.stage,
        before={"value": plain_figure(earlier.value)} if earlier else {},
        after={
            "quantity": reading.quantity,
            "arch": reading.arch,
            "value": plain_figure(reading.value),
            "unit": reading.unit,
            "verdict": reading.verdict,
        },
        reason=reading.reason,
        of=[reading],
    )


def _judge(reading: Reading, line: SpecificationLine | None) -> None:
    judgement = judgement_of(reading, line)
    if judgement is None:
        return
    reading.line = line
    reading.verdict = judgement.verdict.value
    reading.verdict_words = str(judgement.words)


def require_free(stage: Stage, entries: Sequence[Entry]) -> None:
    """Refuse a figure of a quantity that already stands at the stage, and the same one entered twice."""
    if len({(entry.quantity, entry.arch) for entry in entries}) < len(entries):
        raise Refused(_("The same figure is entered twice; give its readings as repeats of one."))
    for entry in entries:
        _require_free(stage, entry)


def _require_free(stage: Stage, entry: Entry) -> None:
    standing = (
        Reading.objects.standing()
        .filter(stage=stage, quantity=entry.quantity, arch=entry.arch)
        .select_related("by")
        .first()
    )
    if standing:
        raise Conflict(
            _("{figure} was already recorded here: {value} {unit}. Correct that figure instead.").format(
                figure=quantity(entry.quantity).label,
                value=figure(plain_figure(standing.value)),
                unit=standing.unit,
            ),
            who=str(standing.by),
            when=standing.entered_at,
            what=Act.READING.label,
        )


def _check_entry(entry: Entry) -> None:
    kind = quantity(entry.quantity)
    if (entry.arch or None) not in (kind.arches or (None,)):
        arch = Words(entry.arch) if entry.arch else _("the patient")
        raise Refused(_("{figure} is not taken for “{arch}”.").format(figure=kind.label, arch=arch))
    if not 1 <= len(entry.values) <= MOST_REPEATS:
        raise Refused(_("{figure}: give one to three readings.").format(figure=kind.label))
    if kind.unit in READ_ON_AN_INSTRUMENT and entry.instrument not in instruments_for(kind.unit):
        raise Refused(_("{figure}: choose the instrument from the list.").format(figure=kind.label))
    for value in entry.values:
        if not kind.is_possible(value):
            raise Refused(not_possible(kind, value))


def not_possible(kind: Quantity, value: Decimal) -> str:
    """Why a figure is refused, with the range that it can have at all."""
    return _("{figure}: {value} is not possible; allowed: {range}.").format(
        figure=kind.label, value=figure(str(value)), range=kind.possible_in_words
    )


def _is_unusual(entry: Entry) -> bool:
    kind: Quantity = quantity(entry.quantity)
    return any(kind.is_unusual(value) for value in entry.values)


def _in_words(entry: Entry) -> str:
    kind = quantity(entry.quantity)
    values = ", ".join(with_unit(value, kind.unit) for value in entry.values)
    low, high = (figure(str(limit)) for limit in kind.unusual)
    return _("{figure} {values} (usually {low} to {high})").format(
        figure=kind.label, values=values, low=low, high=high
    )
