"""Cases brought by the real actions to where a test needs them."""

from labcases.cases.actions.crossings import accept_at_clinic, hand_to_clinic, receive_at_laboratory
from labcases.cases.actions.moves import finish_stage, start_stage
from labcases.cases.choices import Location, Place, StageKind
from labcases.cases.models import Stage
from tests.factories.cases import NOW, taken_in_case
from tests.factories.people import ManagerFactory


def case_at(stage, *, location=Location.CLINIC, now=NOW, by=None, starts_at=StageKind.CUSTOM_TRAY, **changes):
    """A case whose current stage is of the kind `stage` and whose work is at `location`, and that stage."""
    manager = by or ManagerFactory()
    case = taken_in_case(by=manager, starts_at=starts_at, now=now, **changes)
    while True:
        case.refresh_from_db()
        here = Stage.objects.with_case().get(pk=case.current_stage_id)
        if here.kind == stage and case.location == location:
            return case, here
        _go_on(case, here, manager, now)


def _go_on(case, here, manager, now):
    if here.place == Place.CLINIC and case.location == Location.LABORATORY:
        hand_to_clinic(case=case, by=manager, now=now)
    elif case.location == Location.TO_CLINIC:
        accept_at_clinic(case=case, by=manager, now=now)
    elif case.location == Location.TO_LABORATORY:
        receive_at_laboratory(case=case, agent="A", minutes=10, minutes_required=10, by=manager, now=now)
    else:
        if here.place == Place.LABORATORY:
            start_stage(stage=here, by=manager, expected_version=here.version, now=now)
            here.refresh_from_db()
        finish_stage(stage=here, by=manager, expected_version=here.version, now=now)
