"""The exact headers of every class of answer, the cookies' flags, and that no form is taken without its token."""

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import Client
from django.urls import path, reverse

from labcases.config.urls import handler400, handler403, handler404, handler500, urlpatterns  # noqa: F401
from labcases.people.refusals import Conflict, NotAllowed, Refused
from tests.factories.people import PASSWORD, ManagerFactory, TechnicianFactory
from tests.factories.tickets import WorkTicketFactory
from tests.pages.test_permissions import TABLE, two_practices

ALWAYS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; "
        "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; manifest-src 'self'"
    ),
    "Permissions-Policy": "camera=(self), geolocation=(), microphone=()",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "X-Frame-Options": "DENY",
}
PAGE = {
    **ALWAYS,
    "Cache-Control": "no-store",
    "Content-Type": "text/html; charset=utf-8",
}
HSTS = "max-age=31536000; includeSubDomains; preload"
# Set by what an answer says, not by how it is guarded.
OF_THE_CONTENT = {
    "Content-Length",
    "Vary",
    "Location",
    "Allow",
    "Content-Disposition",
    "Content-Language",
    "Expires",
    "X-Request-ID",
}


def refusing(kind: str):
    def view(request: HttpRequest) -> HttpResponse:
        errors = {"conflict": Conflict, "refused": Refused, "not-allowed": NotAllowed}
        raise errors.get(kind, RuntimeError)("planted")

    return view


urlpatterns = [
    *urlpatterns,
    *(path(f"planted/{kind}", refusing(kind)) for kind in ("conflict", "refused", "not-allowed", "fault")),
]


def headers_of(answer) -> dict[str, str]:
    return {name: value for name, value in answer.headers.items() if name not in OF_THE_CONTENT}


def never_kept(answer) -> dict[str, str]:
    """The headers of a page of the door, which Django's own view forbids to keep in more words."""
    found = headers_of(answer)
    assert "no-store" in found["Cache-Control"].split(", ")
    return found | {"Cache-Control": "no-store"}


@pytest.fixture
def world(db):
    return two_practices()


@pytest.fixture
def client(db):
    client = Client(raise_request_exception=False)
    client.force_login(TechnicianFactory())
    return client


CLASSES = {
    "page": ("/bench/work", 200),
    "redirect": ("/", 302),
    "not allowed": ("/office/today", 403),
    "unknown object": ("/bench/stages/999999", 404),
    "unknown address": ("/no/such/page", 404),
    "mistyped": ("/scan?code=26-00417-5", 422),
    "conflict": ("/planted/conflict", 409),
    "refused": ("/planted/refused", 422),
    "refused to this person": ("/planted/not-allowed", 403),
    "fault": ("/planted/fault", 500),
}


@pytest.mark.urls("tests.security.test_headers")
@pytest.mark.parametrize("what", CLASSES)
def test_every_class_of_page_has_just_these_headers(what, client):
    address, status = CLASSES[what]
    answer = client.get(address)
    assert answer.status_code == status
    assert headers_of(answer) == PAGE


@pytest.mark.parametrize(("address", "status"), [("/sign-in", 200), ("/bench/work", 302), ("/no/such", 404)])
def test_a_page_for_somebody_not_signed_in_has_them_too(address, status, db):
    answer = Client().get(address)
    assert answer.status_code == status
    assert never_kept(answer) == PAGE


def test_a_method_that_a_page_does_not_know_has_them_too(client):
    answer = client.post("/bench/work")
    assert answer.status_code == 405
    assert headers_of(answer) == PAGE


def test_a_request_to_a_strange_host_has_them_too(client):
    answer = client.get("/bench/work", HTTP_HOST="elsewhere.example")
    assert answer.status_code == 400
    assert headers_of(answer) == PAGE


def test_a_form_without_its_token_has_them_too(db):
    answer = Client(enforce_csrf_checks=True).post("/sign-in", {"username": "a", "password": "b"})
    assert answer.status_code == 403
    assert headers_of(answer) == PAGE


def test_the_door_that_is_shut_has_them_too(db):
    for _ in range(11):
        answer = Client().post("/sign-in", {"username": "a", "password": "b"})
    assert answer.status_code == 429
    assert never_kept(answer) == {**PAGE, "Retry-After": answer.headers["Retry-After"]}


def test_a_paper_has_them_too(client):
    answer = client.get(reverse("ticket_pdf", args=[WorkTicketFactory().code]))
    assert answer.status_code == 200
    assert headers_of(answer) == {**PAGE, "Content-Type": "application/pdf"}


def test_an_answer_without_a_page_has_them_too(world, client):
    address = reverse("bench:draft", args=world["own"]["stage"])
    answer = client.post(address, {"one_time_key": "draft"})
    assert answer.status_code == 204
    assert headers_of(answer) == PAGE


def test_a_file_of_the_site_may_be_kept_but_not_framed_or_sniffed(client):
    answer = client.get("/static/css/site.css")
    assert answer.status_code == 200
    answer.getvalue()
    answer.close()
    found = headers_of(answer)
    assert {name: found.get(name) for name in ALWAYS} == ALWAYS
    assert found["Content-Type"].startswith("text/css")


def test_no_answer_tells_what_serves_it(client):
    assert not {"Server", "X-Powered-By", "X-Runtime"} & set(client.get("/bench/work").headers)


POSTS = sorted(route for route, row in TABLE.items() if "POST" in row.methods)


@pytest.mark.parametrize("token", [None, "x" * 64], ids=["no token", "a token of another form"])
def test_no_route_takes_a_form_without_its_own_token(token, world):
    taken = []
    for route in POSTS:
        row = TABLE[route]
        address = reverse(route, args=world["own"].get(row.about, []) if row.about else [])
        for person in row.people:
            client = Client(enforce_csrf_checks=True)
            if person in world["people"] and person != "disabled":
                client.force_login(world["people"][person])
            client.get("/sign-in")
            status = client.post(address, {"csrfmiddlewaretoken": token} if token else {}).status_code
            if status != 403:
                taken.append(f"{route} as {person}: {status}")
    assert not taken


@pytest.fixture
def behind_tls(settings):
    settings.SESSION_COOKIE_SECURE = settings.CSRF_COOKIE_SECURE = settings.SECURE_SSL_REDIRECT = True
    settings.SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    settings.SECURE_HSTS_SECONDS = 31_536_000
    settings.SECURE_HSTS_INCLUDE_SUBDOMAINS = settings.SECURE_HSTS_PRELOAD = True


def test_cookies_are_for_this_site_over_tls_and_no_script(behind_tls, db):
    ManagerFactory(username="ledger")
    client = Client(headers={"X-Forwarded-Proto": "https"})
    form = {"username": "ledger", "password": PASSWORD}
    assert client.post("/sign-in", form, headers={"Referer": "https://testserver/"}).status_code == 302
    assert set(client.cookies) == {"sessionid", "csrftoken"}
    for cookie in client.cookies.values():
        assert (cookie["secure"], cookie["httponly"], cookie["samesite"]) == (True, True, "Lax")
        assert (cookie["path"], cookie["domain"]) == ("/", "")


def test_plain_http_leads_to_tls_and_sets_no_cookie(behind_tls, db):
    client = Client()
    answer = client.get("/sign-in")
    assert (answer.status_code, answer.headers["Location"]) == (301, "https://testserver/sign-in")
    assert not client.cookies


def test_browsers_are_told_to_stay_with_tls(behind_tls, db):
    answer = Client(headers={"X-Forwarded-Proto": "https"}).get("/sign-in")
    assert answer.headers["Strict-Transport-Security"] == HSTS
