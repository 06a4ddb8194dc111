"""Issuing papers. What is printed is kept; printing again what has not changed gives the same bytes."""

import datetime
import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

from django.conf import settings
from django.db import transaction
from django.utils import translation
from django.utils.translation import gettext as _

from labcases.cases.actions.guards import locked, log, stage_conflict
from labcases.cases.choices import Act, CaseState, Place
from labcases.cases.models import Stage
from labcases.measurements.actions.specifying import issue_specification
from labcases.measurements.models import Specification
from labcases.measurements.queries import SPECIFIED_STAGES, current_specification
from labcases.people.access import works_in_laboratory
from labcases.people.models import User
from labcases.people.refusals import NotAllowed, Refused
from labcases.prosthodontics.errors import LabCasesError
from labcases.prosthodontics.wording import in_a_sentence
from labcases.tickets.choices import Paper
from labcases.tickets.codes import groups, new_code, scan_mark
from labcases.tickets.facts import Imprint, TicketFacts, digest
from labcases.tickets.gathering import gather_facts, moment
from labcases.tickets.models import WorkTicket
from labcases.tickets.page import ticket_sheet
from labcases.tickets.pdf import LaidOut, Printed, lay_out, together

ATTEMPTS = 2


@dataclass(frozen=True)
class Failure:
    """A stage whose ticket could not be printed, and why in one sentence."""

    stage: Stage
    message: str


@dataclass(frozen=True)
class Batch:
    """Several tickets in one PDF to print; the bytes kept with each ticket stay the ones that count."""

    pdf: bytes
    pages: int
    tickets: tuple[WorkTicket, ...]
    failures: tuple[Failure, ...]


@dataclass(frozen=True)
class _Draft:
    """What would be printed now: the facts with their digest, the paper that says just this, if there is one."""

    stage: Stage
    paper: str
    specification: Specification | None
    facts: TicketFacts
    digest: str
    existing: WorkTicket | None
    imprint: Imprint

    def laid_out(self) -> LaidOut:
        return lay_out(ticket_sheet(self.facts, self.imprint, paper=self.paper))


def issue_ticket(*, stage: Stage, by: User, now: datetime.datetime, paper: str = Paper.A4) -> WorkTicket:
    """The work ticket of a laboratory stage: new or, where nothing on it has changed, the one already issued.

    Raises NotAllowed, Refused, and Conflict when the specification was renewed again and again meanwhile.
    """
    ticket, _ = _issue(stage, by=by, now=now, paper=paper, to_merge=False)
    return ticket


def issue_tickets(
    *, stages: Iterable[Stage], by: User, now: datetime.datetime, paper: str = Paper.A4
) -> Batch:
    """A ticket for every stage that can have one, in one PDF, and for the others what stood against it."""
    laid: list[LaidOut] = []
    tickets: list[WorkTicket] = []
    failures: list[Failure] = []
    for stage in stages:
        try:
            ticket, pages = _issue(stage, by=by, now=now, paper=paper, to_merge=True)
        except LabCasesError as error:
            failures.append(Failure(stage, error.message))
            continue
        tickets.append(ticket)
        laid += [pages] if pages else []
    printed = together(laid) if laid else Printed(b"", 0)
    return Batch(printed.pdf, printed.pages, tuple(tickets), tuple(failures))


def issue_for_print(
    *, stage: Stage, by: User, now: datetime.datetime, paper: str
) -> tuple[WorkTicket, LaidOut]:
    """As `issue_ticket`, with the pages as they are set, to be written together with others."""
    ticket, pages = _issue(stage, by=by, now=now, paper=paper, to_merge=True)
    assert pages is not None
    return ticket, pages


def _issue(
    stage: Stage, *, by: User, now: datetime.datetime, paper: str, to_merge: bool
) -> tuple[WorkTicket, LaidOut | None]:
    """Gather, print and keep. Printing takes seconds, so it stands outside the transaction that keeps the paper."""
    _require_printable(stage, by=by, paper=paper)
    for _attempt in range(ATTEMPTS):
        draft = _draft(stage, by=by, now=now, paper=paper)
        if draft.existing and not to_merge:
            return draft.existing, None
        laid = draft.laid_out()
        ticket = draft.existing or _keep(draft, laid.printed(), by=by, now=now)
        if ticket:
            return ticket, laid
    raise stage_conflict(stage)


def _require_printable(stage: Stage, *, by: User, paper: str) -> None:
    if not works_in_laboratory(by):
        raise NotAllowed(_("Only the laboratory prints work tickets."))
    if paper not in Paper.values:
        raise Refused(which_paper())
    obstacle = why_not_printed(stage)
    if obstacle:
        raise Refused(obstacle)


def which_paper() -> str:
    """What is said where no known paper was chosen."""
    between = _("or")
    papers = f" {between} ".join(str(label) for label in Paper.labels)
    return _("Choose the paper: {papers}.").format(papers=papers)


def why_not_printed(stage: Stage) -> str:
    """Why a stage can have no work ticket now, in words; empty when it can."""
    if stage.place != Place.LABORATORY:
        words = _("{stage} is done at the clinic; a work ticket is for a stage of the laboratory.")
        return words.format(stage=stage.label)
    if stage.case.state in (CaseState.INCOMPLETE, CaseState.CANCELLED):
        words = _("Case {number} is not ready for the bench ({state}); no ticket was printed.")
        return words.format(number=stage.case.number, state=in_a_sentence(stage.case.get_state_display()))
    return ""


def _draft(stage: Stage, *, by: User, now: datetime.datetime, paper: str) -> _Draft:
    stage = Stage.objects.with_case().get(pk=stage.pk)
    specification = current_specification(stage.case, stage.kind)
    if specification is None and stage.kind in SPECIFIED_STAGES:
        specification = issue_specification(case=stage.case, stage_kind=stage.kind, by=by, now=now)
    facts = gather_facts(stage, now=now)
    said = digest(facts)
    existing = (
        WorkTicket.objects.select_related("issued_by")
        .filter(stage=stage, facts_digest=said, paper=paper)
        .first()
    )
    return _Draft(stage, paper, specification, facts, said, existing, _imprint(existing, by=by, now=now))


def _imprint(existing: WorkTicket | None, *, by: User, now: datetime.datetime) -> Imprint:
    """A new code and time, or those of the paper that is printed again."""
    code, at = (existing.code, existing.issued_at) if existing else (new_code(), now)
    return Imprint(
        code=code,
        groups=groups(code),
        mark=scan_mark(code, public_url=settings.PUBLIC_URL),
        at=at.astimezone(datetime.UTC).isoformat(timespec="seconds"),
        printed=_in_own_language(at),
        printed_by=str(existing.issued_by if existing else by),
    )


def _in_own_language(at: datetime.datetime) -> str:
    with translation.override(settings.LANGUAGE_CODE):
        return moment(at)


@transaction.atomic
def _keep(draft: _Draft, printed: Printed, *, by: User, now: datetime.datetime) -> WorkTicket | None:
    """Store what was printed; None where its specification was renewed meanwhile, so that the paper is old already."""
    case = locked(draft.stage.case_id)
    current = current_specification(case, draft.stage.kind)
    if (current and current.pk) != (draft.specification and draft.specification.pk):
        return None
    same = WorkTicket.objects.filter(stage=draft.stage, facts_digest=draft.digest, paper=draft.paper).first()
    if same:
        return same
    ticket = WorkTicket.objects.create(
        stage=draft.stage,
        specification=draft.specification,
        code=draft.imprint.code,
        paper=draft.paper,
        facts_digest=draft.digest,
        pdf=printed.pdf,
        sha256=hashlib.sha256(printed.pdf).hexdigest(),
        pages=printed.pages,
        issued_by=by,
        issued_at=now,
    )
    log(
        case,
        Act.TICKET,
        by=by,
        now=now,
        stage=draft.stage,
        after={
            "ticket": ticket.pk,
            "paper": draft.paper,
            "revision": draft.facts.revision,
            "sha256": ticket.sha256,
        },
        of=[ticket],
    )
    return ticket
