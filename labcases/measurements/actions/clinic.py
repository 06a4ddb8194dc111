"""The clinic's own stages: what was found at the chair, and what becomes of the work, in one step."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from django.conf import settings
from django.db import transaction
from django.utils import translation
from django.utils.translation import gettext as _

from labcases.cases.actions.dates import set_dates
from labcases.cases.actions.guards import case_conflict, locked, log, stage_conflict, update_stage
from labcases.cases.actions.moves import finish_stage, require_place
from labcases.cases.choices import OPEN_STATES, Act, Place
from labcases.cases.models import Case, Return, Stage
from labcases.cases.rules import laboratory_day
from labcases.measurements.actions.prescribing import Prescribed, keep_dimensions
from labcases.measurements.actions.readings import Entry, keep_correction, keep_readings
from labcases.measurements.actions.returning import send_back
from labcases.measurements.actions.specifying import reissue
from labcases.measurements.models import Reading
from labcases.measurements.queries import standing_readings
from labcases.measurements.rules import freeway_space_of
from labcases.measurements.standards import schools_in_force
from labcases.people.models import User
from labcases.people.refusals import Refused

Days = Mapping[str, datetime.date | None]


@dataclass(frozen=True)
class ChairFindings:
    """What a clinic stage brings: new figures, standing ones corrected for `reason`, rim dimensions as prescribed."""

    figures: Sequence[Entry] = ()
    corrections: Sequence[tuple[Reading, Entry]] = ()
    reason: str = ""
    prescribed: Prescribed = field(default_factory=dict)

    @property
    def is_empty(self) -> bool:
        return not (self.figures or self.corrections or self.prescribed)


@dataclass(frozen=True)
class WorkReturn:
    """An earlier laboratory stage that work goes back to, a cause of the list, and a note for the bench."""

    to: Stage
    cause: str
    note: str = ""


@transaction.atomic
def keep_findings(
    *,
    stage: Stage,
    findings: ChairFindings,
    outcome: str,
    dates: Days,
    by: User,
    expected_version: int,
    now: datetime.datetime,
) -> None:
    """Keep what was found so far; the work stays at the clinic and the stage stays open."""
    case = _case_at(stage, by)
    if not case.is_open:
        raise case_conflict(case)
    if findings.is_empty and not dates and outcome == stage.outcome:
        raise Refused(_("Nothing was written yet."))
    update_stage(stage, expected_version=expected_version, states=OPEN_STATES, outcome=outcome)
    _write(stage, findings, by=by, now=now)
    if outcome != stage.outcome:
        log(
            case,
            Act.NOTE,
            by=by,
            now=now,
            stage=stage,
            before={"outcome": stage.outcome},
            after={"outcome": outcome},
        )
    reissue(case=case, by=by, now=now)
    _settle(case, dates, by=by, now=now)


@transaction.atomic
def finish_clinic_stage(
    *,
    stage: Stage,
    findings: ChairFindings,
    outcome: str,
    dates: Days,
    by: User,
    expected_version: int,
    now: datetime.datetime,
) -> None:
    """Record a clinic stage and send the work on: to the laboratory, or after insertion to nobody.

    `dates` are the days on which the work is wanted next, by kind of clinic stage still to come.
    """
    case = _case_at(stage, by)
    _write(stage, findings, by=by, now=now)
    finish_stage(
        stage=stage,
        by=by,
        expected_version=expected_version,
        now=now,
        outcome=outcome,
        facts=_freeway(case, stage, now),
    )
    _settle(case, dates, by=by, now=now)


@transaction.atomic
def return_from_clinic(
    *,
    stage: Stage,
    findings: ChairFindings,
    outcome: str,
    back: WorkReturn,
    dates: Days,
    by: User,
    expected_version: int,
    now: datetime.datetime,
) -> Return:
    """Record a clinic stage and send the work back to an earlier laboratory stage, to be done again.

    The case's last clinic stage can be returned from after the case is complete; it takes no figures then. What
    was found or prescribed now is specified anew for the stages of the next visit.
    """
    case = _case_at(stage, by)
    _write(stage, findings, by=by, now=now)
    record = send_back(
        stage=stage,
        to=back.to,
        cause=back.cause,
        note=back.note,
        by=by,
        expected_version=expected_version,
        now=now,
        outcome=outcome,
    )
    _settle(case, dates, by=by, now=now)
    return record


def _case_at(stage: Stage, by: User) -> Case:
    case = locked(stage.case_id)
    require_place(stage, by)
    if stage.place != Place.CLINIC:
        raise Refused(_("{stage} is the laboratory’s own stage.").format(stage=stage.label))
    if case.is_open and case.current_stage_id != stage.pk:
        raise stage_conflict(stage)
    return case


def _write(stage: Stage, findings: ChairFindings, *, by: User, now: datetime.datetime) -> None:
    for reading, entry in findings.corrections:
        keep_correction(reading=reading, entry=entry, reason=findings.reason, by=by, now=now)
    if findings.figures:
        keep_readings(stage=stage, entries=findings.figures, by=by, now=now)
    if findings.prescribed:
        keep_dimensions(case=stage.case, prescribed=findings.prescribed, by=by, now=now)


def _freeway(case: Case, stage: Stage, now: datetime.datetime) -> dict[str, str]:
    """The freeway space of this stage's two vertical dimensions, in words for the log."""
    here = [reading for reading in standing_readings(case) if reading.stage_id == stage.pk]
    usual = schools_in_force(laboratory_day(now)).freeway_range
    with translation.override(settings.LANGUAGE_CODE):
        found = freeway_space_of(here, usual=usual)
        return {"freeway_space": str(found.words)} if found else {}


def _settle(case: Case, dates: Days, *, by: User, now: datetime.datetime) -> None:
    """Days and specifications once the path is as it will be; only then are the stages to be done again there."""
    if dates:
        set_dates(case=case, dates=dates, by=by, now=now)
    reissue(case=case, by=by, now=now)
