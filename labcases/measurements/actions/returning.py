"""Work that comes back, with the specification that holds for doing it again."""

import datetime

from django.db import transaction

from labcases.cases.actions import returns
from labcases.cases.models import Return, Stage
from labcases.measurements.actions.specifying import reissue
from labcases.people.models import User


@transaction.atomic
def send_back(
    *,
    stage: Stage,
    to: Stage,
    cause: str,
    note: str,
    by: User,
    expected_version: int,
    now: datetime.datetime,
    outcome: str = "",
) -> Return:
    """End `stage` as sent back, open the next visit, and specify its stages from the figures that stand by now.

    Figures and prescribed dimensions that came after a stage was done changed nothing then; they count for doing
    it again. Raises what `cases.actions.returns.send_back` raises.
    """
    record = returns.send_back(
        stage=stage,
        to=to,
        cause=cause,
        note=note,
        by=by,
        expected_version=expected_version,
        now=now,
        outcome=outcome,
    )
    reissue(case=stage.case, by=by, now=now)
    return record
