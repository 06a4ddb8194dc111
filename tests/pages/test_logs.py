"""The log tells what happened and to which person's number; nothing of a case, a patient or an address."""

import io
import json
import logging
import re

import pytest
from django.http import HttpResponse
from django.test import Client, RequestFactory
from django.urls import reverse

from labcases.pages.logs import JsonLines, request_log
from tests.factories.cases import taken_in_case
from tests.factories.people import ClinicianFactory, ManagerFactory

OURS = re.compile(r"[0-9a-f]{10}")


@pytest.fixture
def lines(caplog):
    """Every line that is logged, whichever logger it comes from, as it would be written."""
    caplog.set_level(logging.INFO, logger="labcases.request")
    written = io.StringIO()
    handler = logging.StreamHandler(written)
    handler.setFormatter(JsonLines())
    logging.getLogger().addHandler(handler)
    yield lambda: [json.loads(line) for line in written.getvalue().splitlines()]
    logging.getLogger().removeHandler(handler)


@pytest.mark.django_db
def test_a_request_leaves_one_line_with_its_reference(client, lines):
    manager = ManagerFactory()
    client.force_login(manager)
    answer = client.get(reverse("office:cases"), {"q": "P-SECRET"})
    (line,) = lines()
    assert line.pop("ms") > 0
    assert line.pop("time").endswith("+00:00")
    assert line == {
        "level": "info",
        "logger": "labcases.request",
        "event": "request",
        "request": answer.headers["X-Request-ID"],
        "route": "office:cases",
        "method": "GET",
        "status": 200,
        "user": manager.pk,
    }
    assert OURS.fullmatch(line["request"])


@pytest.mark.django_db
def test_nothing_of_a_case_or_a_patient_is_logged(lines):
    """Found, foreign, unknown, refused, wrong method, without a token, and broken with the code in its words."""
    case = taken_in_case(patient_code="P-SECRET", by=ManagerFactory())
    client = Client(raise_request_exception=False, enforce_csrf_checks=True)
    client.force_login(ManagerFactory())
    for address in (f"/office/cases/{case.number}", "/office/cases/26-00999-X", "/unknown/P-SECRET"):
        client.get(address, {"q": "P-SECRET"})
        client.post(address, {"patient_code": "P-SECRET"})
    client.get("/", headers={"Host": "p-secret.example"})
    client.force_login(ClinicianFactory())
    client.get(f"/clinic/cases/{case.number}")
    assert len(lines()) >= 8
    text = json.dumps(lines()).lower()
    assert "secret" not in text
    assert "26-" not in text.replace("2026-", "")


def test_an_error_is_logged_by_kind_and_place_without_its_words(lines):
    try:
        raise ValueError("patient P-SECRET")
    except ValueError:
        logging.getLogger("django.request").exception("Internal Server Error: %s", "/cases/P-SECRET")
    (line,) = lines()
    assert (line["event"], line["error"]) == ("said by django.request", "builtins.ValueError")
    assert line["places"][-1].endswith("test_an_error_is_logged_by_kind_and_place_without_its_words")
    assert "SECRET" not in json.dumps(line)


def answered(given=None):
    request = RequestFactory().get("/", headers={"X-Request-ID": given} if given else {})
    request.resolver_match = None
    return request_log(lambda request: HttpResponse())(request).headers["X-Request-ID"]


def test_a_reference_from_outside_is_not_believed_unless_the_settings_say_so(settings):
    assert OURS.fullmatch(answered("from-the-proxy"))
    settings.TRUST_REQUEST_ID = True
    assert answered("from-the-proxy") == "from-the-proxy"


@pytest.mark.parametrize("given", ["short", "x" * 65, 'a"b<script>', "two words", ""])
def test_a_reference_that_is_none_is_replaced(given, settings):
    settings.TRUST_REQUEST_ID = True
    assert OURS.fullmatch(answered(given))


@pytest.mark.django_db
@pytest.mark.parametrize("address", ["/unknown", "/office/cases/26-00999-X", "/T/unknown/pdf"])
def test_a_page_that_tells_of_an_error_shows_the_reference(client, address):
    client.force_login(ManagerFactory())
    answer = client.get(address)
    assert answer.status_code == 404
    assert answer.headers["X-Request-ID"] in answer.content.decode()


@pytest.mark.django_db
def test_a_broken_page_shows_the_reference_too(monkeypatch):
    monkeypatch.setattr("labcases.pages.context.reverse", None)
    client = Client(raise_request_exception=False)
    client.force_login(ManagerFactory())
    answer = client.get(reverse("office:laboratory"))
    assert answer.status_code == 500
    assert answer.headers["X-Request-ID"] in answer.content.decode()
