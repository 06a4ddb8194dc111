import pytest

from labcases.cases.choices import CaseState
from tests.office.desk import as_manager, case_now, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db


def test_only_managers_sign_for_the_paper(client):
    assert refused_to_everybody_else(client, "office:sign", case_now().number, method="post")


def test_the_paper_that_is_here_completes_the_case(client):
    manager = as_manager(client)
    case = case_now(sign=False)
    post(client, "office:sign", case.number, version=case.version)
    case.refresh_from_db()
    assert (case.signed_by, case.state) == (manager, CaseState.OPEN)
    assert case.events.filter(act="signed").get().after == {"how": "signed paper held by the laboratory"}


def test_a_prescription_changed_meanwhile_is_not_signed(client):
    as_manager(client)
    case = case_now(sign=False)
    assert post(client, "office:sign", case.number, version=case.version + 1).status_code == 409
    case.refresh_from_db()
    assert case.signed_at is None
