import datetime

from django.db import transaction
from django.db.models import F

from labcases.attachments.actions.erasing import erase_files
from labcases.cases.actions.guards import case_conflict, locked, log
from labcases.cases.chain import masked, masked_column
from labcases.cases.choices import Act
from labcases.cases.models import Case, Event, Stage
from labcases.cases.rules import laboratory_day
from labcases.people.access import may_manage
from labcases.people.models import User
from labcases.people.refusals import NotAllowed, Refused
from labcases.records.queries import kept_until
from labcases.tickets.models import WorkTicket

# What a case says of its patient. Age and sex identify nobody alone, but with a practice and a day they may.
OF_THE_PATIENT = {
    "patient_code": "",
    "patient_age": None,
    "patient_sex": "",
    "notes": "",
    "tooth_wishes": "",
}


@transaction.atomic
def erase_patient(
    *, case: Case, reason: str, by: User, expected_version: int, now: datetime.datetime
) -> None:
    """Erase what a case that was kept long enough says of its patient: code, age, sex, notes, wishes for the
    teeth, what was found at the chair, photographs and files, and the papers on which the code stands.

    Figures, specifications and the way of the work stay. In the log and on tickets a digest takes the place of each
    value and its salt goes, so that the chain holds and nobody can find the value by trying. Nothing brings it back.
    """
    if not may_manage(by):
        raise NotAllowed("Only a lab manager erases a patient's data.")
    if not reason.strip():
        raise Refused("Say why the patient’s data are erased.")
    case = locked(case.pk)
    _require_kept_long_enough(case, now)
    changed = Case.objects.filter(pk=case.pk, version=expected_version).update(
        version=F("version") + 1, **OF_THE_PATIENT
    )
    if not changed:
        raise case_conflict(case)
    Stage.objects.filter(case=case).exclude(outcome="").update(outcome="", version=F("version") + 1)
    salts = _salts_of_tickets(case)
    tickets = [
        _erase_paper(ticket, salts[ticket.pk]) for ticket in WorkTicket.objects.filter(stage__case=case)
    ]
    entries = [_erase_entry(event) for event in case.events.exclude(salt="")]
    files = erase_files(case)
    log(
        case,
        Act.ERASED,
        by=by,
        now=now,
        after={
            "entries": len(entries),
            "papers": sum(tickets),
            **({"files": files} if files else {}),
        },
        reason=reason.strip(),
    )


def _require_kept_long_enough(case: Case, now: datetime.datetime) -> None:
    today = laboratory_day(now)
    until = kept_until(case, today=today)
    if until is None:
        raise Refused(f"Case {case.number} is not closed; what it says of the patient is still needed.")
    if until > today:
        raise Refused(f"Case {case.number} is kept until {until.day} {until:%B %Y}.")


def _salts_of_tickets(case: Case) -> dict[int, str]:
    """The salt of the entry that stands for each ticket."""
    return {
        key: event.salt
        for event in case.events.all()
        for key in event.covers.get(WorkTicket._meta.label_lower, {}).get("ids", ())
    }


def _erase_paper(ticket: WorkTicket, salt: str) -> bool:
    """Whether the paper was still there; printed again after an erasure it may be another's."""
    if not ticket.pdf:
        return False
    digests = {name: masked_column(ticket, name, salt=salt) for name in ("sha256", "facts_digest")}
    WorkTicket.objects.filter(pk=ticket.pk).update(pdf=b"", **digests)
    return True


def _erase_entry(event: Event) -> int:
    before = masked(event.before, salt=event.salt, where="before")
    after = masked(event.after, salt=event.salt, where="after")
    return Event.objects.filter(pk=event.pk).update(before=before, after=after, salt="")
