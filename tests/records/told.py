"""A case with a row of every kind that its log stands for, told by the actions that people use."""

import datetime
from decimal import Decimal

from django.db import transaction

from labcases.cases.actions.crossings import hand_to_clinic
from labcases.cases.actions.guards import locked, log
from labcases.cases.actions.intake import change_prescription, sign_prescription
from labcases.cases.choices import Act, StageKind
from labcases.cases.models import Case, Stage
from labcases.measurements.actions.readings import correct_reading, record_readings
from labcases.measurements.actions.returning import send_back
from tests.cases.walking import current, finish, pass_stage, receive, start, walk_to_the_end
from tests.factories.cases import NOW, taken_in_case
from tests.factories.measurements import entry
from tests.factories.people import ManagerFactory
from tests.factories.tickets import WorkTicketFactory

LATER = NOW + datetime.timedelta(hours=1)
CODE, NOTES, WISHES, FOUND = "ZINNIA-7", "Zinnia likes them long", "As Zinnia had them", "Zinnia is content"


def told_case(**more):
    """A custom tray measured, corrected, printed, sent back after the impression and made again."""
    by = more.pop("by", None) or ManagerFactory()
    case = taken_in_case(
        by=by,
        patient_code="ZINNIA-6",
        figures=[entry("papilla_to_resting_lip", "7.5", instrument="papillameter")],
        prescribed={("occlusion_rims", "maxillary", "anterior_height"): Decimal("22.5")},
        **more,
    )
    change_prescription(
        case=case,
        changes={"patient_code": CODE, "notes": NOTES, "tooth_wishes": WISHES, "patient_sex": "female"},
        by=by,
        expected_version=case.version,
        now=NOW,
    )
    changed = Case.objects.get(pk=case.pk)
    sign_prescription(case=changed, by=by, expected_version=changed.version, now=NOW)
    receive(case, by)
    tray = start(current(case), by)
    (reading,) = record_readings(stage=tray, entries=[entry("tray_thickness", "2.5")], by=by, now=LATER)
    correct_reading(reading=reading, entry=entry("tray_thickness", "2.4"), reason="misread", by=by, now=LATER)
    printed(tray, by=by)
    pass_on(case, by)
    sent_back(case, by)
    return Case.objects.get(pk=case.pk)


@transaction.atomic
def printed(stage, *, by, now=LATER):
    """A ticket as issuing one leaves it, without the time that laying it out takes."""
    case = locked(stage.case_id)
    ticket = WorkTicketFactory(stage=stage, issued_by=by, issued_at=now)
    log(case, Act.TICKET, by=by, now=now, stage=stage, after={"sha256": ticket.sha256}, of=[ticket])
    return ticket


def pass_on(case, by):
    finish(current(case), by, now=LATER)
    hand_to_clinic(case=case, by=by, now=LATER)


def sent_back(case, by):
    stage = current(case)
    send_back(
        stage=stage,
        to=Stage.objects.get(case=case, kind=StageKind.CUSTOM_TRAY),
        cause="tray_long",
        note="Zinnia found it two millimetres long",
        by=by,
        expected_version=stage.version,
        now=LATER,
        outcome=FOUND,
    )


def closed_case(*, on=NOW, **more):
    """The same case, every stage done `on` a day."""
    case = told_case(**more)
    by = case.opened_by
    Case.objects.filter(pk=case.pk).update(opened_at=min(on, NOW))
    pass_stage(case, by, now=on)
    return walk_to_the_end(case, by, now=on)
