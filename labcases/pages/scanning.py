"""Where a scanned or typed code leads: a ticket's code, its address, or a case number."""

import re

from django.urls import reverse
from django.utils.translation import gettext as _

from labcases.cases.choices import Place
from labcases.cases.models import Case
from labcases.cases.queries import case_by_number
from labcases.people.models import User
from labcases.prosthodontics.errors import LabCasesError
from labcases.prosthodontics.wording import in_a_sentence
from labcases.tickets.models import WorkTicket
from labcases.tickets.queries import PaperState, paper_state, ticket_by_code

LONGEST_CASE_NUMBER = 14


class NotFound(LabCasesError):
    """What was scanned is well formed, but there is nothing by it that this person may see."""


def is_meant_as_number(text: str) -> bool:
    """A case number has eight letters and digits; a ticket's code is far longer."""
    return len(re.sub(r"[\W_]", "", text)) <= LONGEST_CASE_NUMBER


def address_of_number(user: User, text: str) -> str:
    """Where a case number leads; raises CaseNumberError for a mistyped one, NotFound for one without a case."""
    try:
        case = case_by_number(user, text)
    except Case.DoesNotExist:
        raise NotFound(
            _("There is no case {number} that you can open.").format(number=text.strip()[:20])
        ) from None
    return address_of_case(user, case)


def paper_of_code(user: User, text: str) -> PaperState:
    """The paper that a ticket's code is printed on; raises CodeError for what is no code, NotFound for no ticket."""
    try:
        return paper_state(ticket_by_code(user, text))
    except WorkTicket.DoesNotExist:
        raise NotFound(_("There is no ticket with this code that you can open.")) from None


def case_scanned(user: User, text: str) -> tuple[Case, str]:
    """The case that a code or number means, and what is to be said of its paper; empty where nothing is.

    Raises CaseNumberError, CodeError or NotFound.
    """
    if is_meant_as_number(text):
        try:
            return case_by_number(user, text), ""
        except Case.DoesNotExist:
            raise NotFound(
                _("There is no case {number} that you can open.").format(number=text.strip()[:20])
            ) from None
    paper = paper_of_code(user, text)
    stage, case = paper.ticket.stage, paper.ticket.stage.case
    if case.current_stage_id != stage.pk:
        return case, _("The paper is of {stage}.").format(stage=in_a_sentence(stage.label))
    return case, paper.message


def address_of_case(user: User, case: Case) -> str:
    """The bench sheet of the stage that is next, or the person's own page of the case."""
    stage = case.current_stage
    if not user.is_clinician and case.is_open and stage and stage.place == Place.LABORATORY:
        return reverse("bench:sheet", args=[stage.pk])
    return case_address(user, case)


def address_of_paper(user: User, paper: PaperState) -> str:
    """The bench sheet of the stage that a ticket is for; a clinician gets to the case."""
    stage = paper.ticket.stage
    if user.is_clinician:
        return case_address(user, stage.case)
    return reverse("bench:sheet", args=[stage.pk])


def case_address(user: User, case: Case) -> str:
    """Where this person sees this case."""
    room = "clinic" if user.is_clinician else "office" if user.is_manager else "bench"
    return reverse(f"{room}:case", args=[case.number])
