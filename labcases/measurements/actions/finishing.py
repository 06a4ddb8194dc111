"""Finishing bench work: the figures have the last word before the stage does."""

import datetime

from django.conf import settings
from django.db import transaction
from django.utils import translation
from django.utils.translation import gettext as _

from labcases.cases.actions.guards import locked, require_not_cancelled, stage_conflict
from labcases.cases.actions.moves import finish_stage, require_place
from labcases.cases.choices import StageState
from labcases.cases.models import Stage
from labcases.measurements.queries import (
    Box,
    Finding,
    boxes_for,
    current_specification,
    findings,
    not_measured,
)
from labcases.people.access import may_release_outside
from labcases.people.models import User
from labcases.people.refusals import NotAllowed, Refused


class NeedsReason(Refused):
    """Figures stand against simply finishing; with a reason the stage can still be finished."""

    def __init__(self, message: str, found: list[Finding]) -> None:
        super().__init__(message)
        self.findings = found


@transaction.atomic
def finish_bench_stage(
    *, stage: Stage, by: User, expected_version: int, now: datetime.datetime, reason: str = ""
) -> None:
    """Finish a laboratory stage.

    A figure outside or in doubt, or no figure at all where some are asked, wants a reason; one outside wants
    also someone who may release it.
    Raises NeedsReason, NotAllowed, or Conflict when somebody was first.
    """
    case = locked(stage.case_id)
    require_place(stage, by)
    require_not_cancelled(case)
    # Before the figures speak: whoever came second is told so, and not asked for a reason first.
    if not Stage.objects.filter(pk=stage.pk, version=expected_version, state=StageState.IN_PROGRESS).exists():
        raise stage_conflict(stage)
    boxes = boxes_for(stage, current_specification(case, stage.kind))
    found = findings(boxes)
    if any(finding.is_outside for finding in found) and not may_release_outside(by):
        raise NotAllowed(
            _(
                "A figure lies outside its configured range. Correct the work and measure again, or ask a lab "
                "manager to finish the stage with a reason."
            )
        )
    if found and not reason.strip():
        raise NeedsReason(
            _("Not every figure is within its limits. Say why the stage is finished all the same."), found
        )
    finish_stage(
        stage=stage,
        by=by,
        expected_version=expected_version,
        now=now,
        reason=reason.strip(),
        facts=_facts(boxes),
    )


def _facts(boxes: list[Box]) -> dict[str, list[str]]:
    """What the log says of the figures, in the laboratory's language."""
    with translation.override(settings.LANGUAGE_CODE):
        return {
            "against": [finding.words for finding in findings(boxes)],
            "not_measured": not_measured(boxes),
        }
