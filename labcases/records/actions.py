import datetime

from django.db import transaction
from django.db.models import F, Model
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from labcases.attachments.actions.erasing import erase_files
from labcases.cases.actions.guards import case_conflict, locked, log
from labcases.cases.chain import masked, masked_column, masked_reason
from labcases.cases.choices import Act, LineState
from labcases.cases.models import Case, Event, ImportLine, Return, Stage
from labcases.cases.rules import laboratory_day
from labcases.people.access import may_manage
from labcases.people.models import User
from labcases.people.refusals import NotAllowed, Refused
from labcases.records.queries import kept_until
from labcases.tickets.models import PrintRun, WorkTicket

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
    teeth, what was found at the chair, why work came back or was given up, photographs and files, and the papers on
    which the code stands.

    Figures, specifications, the way of the work and the reasons that belong to it stay. In the log, on returns and
    on tickets a digest takes the place of each value and its salt goes, so that the chain holds and nobody can find
    the value by trying. Nothing brings it back.
    """
    if not may_manage(by):
        raise NotAllowed(_("Only a lab manager erases a patient's data."))
    if not reason.strip():
        raise Refused(_("Say why the patient’s data are erased."))
    case = locked(case.pk)
    _require_kept_long_enough(case, now)
    changed = Case.objects.filter(pk=case.pk, version=expected_version).update(
        version=F("version") + 1, **OF_THE_PATIENT
    )
    if not changed:
        raise case_conflict(case)
    Stage.objects.filter(case=case).exclude(outcome="").update(outcome="", version=F("version") + 1)
    events = list(case.events.exclude(salt=""))
    papers = sum(_erase_rows(event) for event in events)
    for event in events:
        _erase_entry(event)
    files = erase_files(case)
    # The row of a file that was known to be this case's order keeps what the file said of it.
    ImportLine.objects.filter(case=case).exclude(state=LineState.TAKEN).delete()
    PrintRun.objects.filter(lines__stage__case=case).exclude(pdf=b"").update(pdf=b"", pages=0)
    log(
        case,
        Act.ERASED,
        by=by,
        now=now,
        after={"entries": len(events), "papers": papers, **({"files": files} if files else {})},
        reason=reason.strip(),
    )


def _require_kept_long_enough(case: Case, now: datetime.datetime) -> None:
    today = laboratory_day(now)
    until = kept_until(case, today=today)
    if until is None:
        words = _("Case {number} is not closed; what it says of the patient is still needed.")
        raise Refused(words.format(number=case.number))
    if until > today:
        raise Refused(
            _("Case {number} is kept until {day}.").format(
                number=case.number, day=date_format(until, _("j F Y"))
            )
        )


def _erase_rows(event: Event) -> int:
    """Empty the rows that an entry stands for of what they say of the patient; how many papers went."""
    for key in _keys(event, Return):
        row = Return.objects.get(pk=key)
        if row.note:
            Return.objects.filter(pk=key).update(note=masked_column(row, "note", salt=event.salt))
    tickets = WorkTicket.objects.defer("pdf").filter(pk__in=_keys(event, WorkTicket))
    for ticket in tickets:
        digests = {name: masked_column(ticket, name, salt=event.salt) for name in ("sha256", "facts_digest")}
        WorkTicket.objects.filter(pk=ticket.pk).update(pdf=b"", **digests)
    return len(tickets)


def _keys(event: Event, model: type[Model]) -> list[int]:
    return event.covers.get(model._meta.label_lower, {}).get("ids", [])


def _erase_entry(event: Event) -> None:
    before = masked(event.before, salt=event.salt, where="before")
    after = masked(event.after, salt=event.salt, where="after")
    reason = masked_reason(event)
    Event.objects.filter(pk=event.pk).update(before=before, after=after, reason=reason, salt="")
