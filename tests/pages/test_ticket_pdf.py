import hashlib

import pytest
from django.urls import reverse

from labcases.tickets.actions import issue_ticket
from labcases.tickets.codes import new_code
from tests.bench.benchwork import an_hour_ago, stage_at_work
from tests.factories.people import ClinicianFactory, TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def ticket():
    technician = TechnicianFactory()
    return issue_ticket(stage=stage_at_work(by=technician), by=technician, now=an_hour_ago())


def fetch(client, user, code):
    client.force_login(user)
    return client.get(reverse("ticket_pdf", args=[code]))


def test_the_bytes_are_those_that_were_issued(client, ticket):
    answer = fetch(client, TechnicianFactory(), ticket.code)

    assert answer.headers["Content-Type"] == "application/pdf"
    assert hashlib.sha256(answer.content).hexdigest() == ticket.sha256
    assert ticket.stage.case.number in answer.headers["Content-Disposition"]


def test_the_own_practice_may_read_it_another_finds_nothing(client, ticket):
    assert fetch(client, ticket.stage.case.prescriber, ticket.code).status_code == 200
    foreign, unknown = (
        fetch(client, ClinicianFactory(), code).status_code for code in (ticket.code, new_code())
    )
    assert foreign == unknown == 404


def test_what_is_no_code_is_not_found(client, ticket):
    assert fetch(client, TechnicianFactory(), "NOCODE").status_code == 404
