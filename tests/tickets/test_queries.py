import datetime
from decimal import Decimal

import pytest

from labcases.cases.choices import StageKind
from labcases.cases.models import Stage
from labcases.measurements.actions.prescribing import prescribe_dimensions
from labcases.measurements.queries import current_specification
from labcases.tickets.codes import CodeError, groups
from labcases.tickets.models import WorkTicket
from labcases.tickets.queries import (
    current_ticket,
    paper_state,
    stages_to_print,
    ticket_by_code,
    ticket_seen_by,
    tickets_of,
    visible_tickets,
)
from tests.bench.benchwork import waiting_stage
from tests.factories.cases import NOW
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory
from tests.factories.tickets import WorkTicketFactory

pytestmark = pytest.mark.django_db
LATER = NOW + datetime.timedelta(hours=1)


@pytest.fixture
def stage():
    return waiting_stage()


@pytest.fixture
def ticket(stage):
    return WorkTicketFactory(stage=stage, specification=current_specification(stage.case, stage.kind))


def prescribe(stage, value="24"):
    prescribe_dimensions(
        case=stage.case,
        prescribed={(StageKind.OCCLUSION_RIMS, "maxillary", "anterior_height"): Decimal(value)},
        by=ManagerFactory(),
        now=LATER,
    )


def test_a_code_finds_its_ticket_however_it_is_typed(ticket):
    person = TechnicianFactory()
    for text in (ticket.code, "-".join(groups(ticket.code)).lower(), f"https://x.test/T/{ticket.code}"):
        assert ticket_by_code(person, text) == ticket


def test_the_practices_own_clinician_sees_the_ticket_and_nobody_elses(ticket):
    own = ClinicianFactory(practice=ticket.stage.case.practice)
    assert ticket_by_code(own, ticket.code) == ticket
    with pytest.raises(WorkTicket.DoesNotExist):
        ticket_by_code(ClinicianFactory(), ticket.code)
    with pytest.raises(WorkTicket.DoesNotExist):
        ticket_seen_by(ClinicianFactory(), ticket.pk)


def test_a_person_who_may_no_longer_sign_in_sees_no_ticket(ticket):
    gone = TechnicianFactory(is_active=False)
    assert list(visible_tickets(gone)) == []


def test_a_code_of_no_ticket_is_not_found_and_what_is_no_code_is_refused(ticket):
    person = TechnicianFactory()
    with pytest.raises(WorkTicket.DoesNotExist):
        ticket_by_code(person, "A" * 26)
    with pytest.raises(CodeError):
        ticket_by_code(person, "26-00417-K")


def test_lists_of_tickets_leave_the_bytes_where_they_are(ticket):
    assert "pdf" in ticket_by_code(TechnicianFactory(), ticket.code).get_deferred_fields()
    assert "pdf" in tickets_of(ticket.stage)[0].get_deferred_fields()


def test_the_newest_paper_is_the_current_one(ticket):
    newer = WorkTicketFactory(stage=ticket.stage, issued_at=LATER)
    assert current_ticket(ticket.stage) == newer
    assert list(tickets_of(ticket.stage)) == [newer, ticket]
    assert current_ticket(waiting_stage()) is None


def test_a_paper_of_the_current_revision_is_good(ticket):
    state = paper_state(ticket)
    assert not state.is_old
    assert (state.message, state.changes, state.newer) == ("", (), None)


def test_an_old_paper_says_which_revision_is_current_and_what_changed(ticket):
    prescribe(ticket.stage)
    state = paper_state(ticket)
    assert state.is_old
    assert state.message == "This paper is revision 1, revision 2 is current."
    assert any(
        change.startswith("Maxillary, Anterior height: 22.0 mm (21.0 to 23.0) becomes 24.0 mm")
        for change in state.changes
    )


def test_changes_over_several_revisions_are_told_from_the_paper_to_now(ticket):
    prescribe(ticket.stage, "24")
    prescribe(ticket.stage, "25")
    (change,) = (each for each in paper_state(ticket).changes if "Anterior height" in each)
    assert "22.0 mm (21.0 to 23.0) becomes 25.0 mm" in change


def test_a_reprint_of_the_same_revision_is_named_but_the_paper_is_not_old(ticket):
    newer = WorkTicketFactory(stage=ticket.stage, specification=ticket.specification, issued_at=LATER)
    state = paper_state(ticket)
    assert (state.is_old, state.newer) == (False, newer)


def test_a_paper_from_before_any_specification_says_so(stage):
    bare = WorkTicketFactory(stage=stage)
    assert paper_state(bare).message == "This paper has no specification; revision 1 has been issued since."


def test_a_paper_of_a_stage_without_specifications_is_never_old():
    stage = waiting_stage(kind=StageKind.MASTER_CAST)
    assert not paper_state(WorkTicketFactory(stage=stage)).is_old


def test_the_days_print_holds_what_is_due_or_planned_by_then(stage):
    manager = ManagerFactory()
    assert list(stages_to_print(manager, day=stage.due_on)) == [stage]
    assert list(stages_to_print(manager, day=stage.due_on - datetime.timedelta(days=1))) == []
    Stage.objects.filter(pk=stage.pk).update(planned_on=stage.due_on - datetime.timedelta(days=1))
    assert list(stages_to_print(manager, day=stage.due_on - datetime.timedelta(days=1))) == [stage]


def test_the_days_print_leaves_out_what_has_not_arrived(stage):
    stage.case.location = "to_laboratory"
    stage.case.save(update_fields=["location"])
    assert list(stages_to_print(ManagerFactory(), day=stage.due_on)) == []
