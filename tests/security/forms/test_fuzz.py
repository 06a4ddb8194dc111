"""Whatever is sent to a form, in a query or in an address: no answer is a fault, and nothing typed is lost."""

import copy
import html
import random
import re
from collections.abc import Iterator
from dataclasses import replace
from urllib.parse import parse_qsl, quote, unquote, urlencode, urlsplit

import pytest
from django.db import connection, transaction
from django.urls import reverse

from tests.pages.test_permissions import TABLE, UNKNOWN
from tests.security.browsing import KEYS, Box, Form, Page, route_of
from tests.security.filling import filled
from tests.security.site import crawl

pytestmark = pytest.mark.django_db

# Bytes as they go over the wire: a lone surrogate has no text of its own.
NASTY = [
    b"",
    b" ",
    b"\x00",
    b"before\x00after",
    b"\xed\xa0\x80",
    b"\xff\xfe\xfa",
    "\U0001f9b7\U0001f469\u200d\U0001f52c".encode(),
    "\u202eleft\u202c \u0645\u0631\u062d\u0628\u0627".encode(),
    "a\u0301\u0301\u0301".encode() * 40,
    b"-0",
    b"-0.0",
    b"0,0",
    b"1e400",
    b"NaN",
    b"-Infinity",
    b"9" * 30,
    b"-" + b"9" * 19,
    b"2147483648",
    b"9223372036854775808",
    "\u0661\u0662".encode(),
    "\u00b2".encode(),
    b"0x1F",
    b"1_000",
    b"0000-00-00",
    b"2026-02-30",
    b"9999-12-31",
    b"0001-01-01",
    b"1900-02-29",
    b"12/31/99999",
    b"2026-11-29T25:61",
    b"None",
    b"true",
    b"../../etc/passwd",
    b"<script>alert(1)</script>",
    b"{{ 7|add:7 }}{% now 'Y' %}",
    b"'; DROP TABLE cases_case; --",
    b"%00%0d%0aSet-Cookie: a=b",
    b"one\r\ntwo\rthree\nfour",
    b"/" * 900,
    b"17-3",
    b"17-99999999999",
]
PATHS = [b"/" + b"a" * 900, b"/a\x00b", b"/\r\nSet-Cookie: a=b"]
HUGE = b"x" * 1_000_000
STRANGE_TYPES = [
    ("application/json", b'{"version": [1]}'),
    ("text/plain", b"version=1"),
    ("application/x-www-form-urlencoded; charset=utf-16", b"version=1"),
    ("application/x-www-form-urlencoded; charset=no-such-thing", b"version=1"),
    ("application/x-www-form-urlencoded", b"%zz=%&&==&\x00=\xff"),
    ("multipart/form-data", b"no boundary"),
    ("multipart/form-data; boundary=x", b'--x\r\nContent-Disposition: form-data; name="version"\r\n\r\n1'),
    (
        "multipart/form-data; boundary=x",
        b'--x\r\nContent-Disposition: form-data; name="version"; filename="a\x00.csv"\r\n\r\n\xff\x00\r\n--x--\r\n',
    ),
    ("", b"version=1"),
    ("application/x-www-form-urlencoded", b"&".join(b"a%d=1" % n for n in range(3000))),
]


def spoilt(form: Form, rng: random.Random) -> list[tuple[str, bytes]]:
    """What a browser would send, with most of it spoilt, some of it left out, some of it sent twice."""
    began = rng.choice([form.defaults, lambda: filled(form)])()
    sent = [(name, value.encode()) for name, values in began.items() for value in values]
    names = {box.name for box in form.boxes if box.name and box.kind not in ("hidden", "file")}
    sent += [(name, b"") for name in sorted(names - {name for name, _ in sent})]
    share = rng.choice([0.05, 0.3, 1])
    found = []
    for name, value in sent:
        if name in KEYS or rng.random() > share:
            found.append((name, value))
            continue
        found.append((name, rng.choice(NASTY)))
        if rng.random() < 0.1:
            found.append((name, rng.choice(NASTY)))
    if rng.random() < 0.1:
        found.pop(rng.randrange(len(found)))
    return found


def encoded(sent: list[tuple[str, bytes]]) -> bytes:
    return urlencode(sent).encode()


def post(client, address: str, body: bytes, kind: str = "application/x-www-form-urlencoded"):
    """The answer, with whatever it wrote undone, here and in the browser: a session begun anew is none afterwards."""
    cookies = copy.deepcopy(client.cookies)
    with transaction.atomic():
        answer = client.generic("POST", address, body, content_type=kind)
        answer.getvalue()
        assert not answer.headers.get("Location", "").startswith("/sign-in"), "signed out on the way"
        transaction.set_rollback(True)
    client.cookies = cookies
    return answer


def as_kept(text: str) -> str:
    """Text as it comes back from a page: line ends and NULs are not a browser's to keep."""
    return text.replace("\r\n", "\n").replace("\r", "\n").replace("\x00", "").strip()


def lost(form: Form, sent: list[tuple[str, bytes]], answer) -> Iterator[str]:
    """Names of fields whose typed text the page does not give back."""
    typed = {box.name for box in form.boxes if box.is_typed and box.kind != "password"}
    text = answer.content.decode()
    back: dict[str, list[str]] = {}
    for shown in Page(text, address=form.address).forms:
        for box in shown.boxes:
            back.setdefault(box.name, []).append(as_kept(box.value))
    # A list of what was typed stands on a page that has no form.
    listed = as_kept(_words(text.partition('id="typed"')[2]))
    last = {name: value.decode(errors="replace") for name, value in sent}
    for name in typed & set(last):
        value = as_kept(last[name])
        if value not in back.get(name, []) and "".join(value.split()) not in "".join(listed.split()):
            yield name


def _words(text: str) -> str:
    return html.unescape(re.sub(r"<[^>]+>", "", text))


def faults_of(person: str, client, form: Form, rng: random.Random, times: int) -> Iterator[str]:
    for _ in range(times):
        sent = spoilt(form, rng)
        answer = post(client, form.address, encoded(sent))
        if answer.status_code >= 500:
            yield f"{answer.status_code} {form.address} as {person}: {sent}"
        elif answer.status_code == 422:
            for name in lost(form, sent, answer):
                yield f"lost {name!r} of {form.address} as {person}: {dict(sent)[name]!r}"


# Printing takes seconds, and hardly any of it depends on what was sent.
PAPERS = ("office:tickets", "bench:ticket")


def rounds(form: Form, times: int) -> int:
    return max(1, times // 15) if form.route in PAPERS else times


def all_faults(forms, clients, rng: random.Random, times: int) -> list[str]:
    return [
        fault[:600]
        for person, form in forms
        for fault in faults_of(person, clients[person], form, rng, rounds(form, times))
    ]


def some(forms: list, rng: random.Random) -> list:
    """All of them on SQLite; on PostgreSQL, which answers the same code, every third by chance."""
    return forms if connection.vendor == "sqlite" else rng.sample(forms, len(forms) // 3)


@pytest.mark.short
def test_no_form_fails_or_loses_what_was_typed(forms, clients, rng):
    assert all_faults(some(forms, rng), clients, rng, 2) == []


@pytest.mark.full
@pytest.mark.timeout(7200)
def test_no_form_fails_or_loses_what_was_typed_in_the_long_run(forms, clients, rng, proof):
    assert all_faults(forms, clients, rng, 100) == []
    proof("fuzzed-forms").reached(100, f"spoilt forms of each of {len(forms)}; of printing ones a fifteenth")


def test_what_a_form_hides_may_be_anything_though_all_else_is_right(forms, clients, rng):
    """The version, the way back and the like: nobody sees them, so nobody would put them right."""
    faults = []
    for person, form in some(forms, rng):
        hidden = {box.name for box in form.boxes if box.kind == "hidden" and box.name not in KEYS}
        for name in hidden if form.route not in (*PAPERS, "calculator") else ():
            for value in [rng.choice(PATHS), *rng.sample(NASTY, 2)]:
                sent = [
                    (each, text.encode())
                    for each, texts in filled(form).items()
                    for text in texts
                    if each != name
                ]
                status = post(clients[person], form.address, encoded([*sent, (name, value)])).status_code
                faults += [f"{status} {form.address} as {person}, {name}: {value!r}"] if status >= 500 else []
    assert not faults, "\n".join(faults[:20])


def test_a_text_of_a_megabyte_is_refused_and_kept(forms, clients, rng):
    faults = []
    for person, form in some(forms, rng):
        typed = [box.name for box in form.boxes if box.is_typed and box.kind != "password"]
        if not typed or form.route in PAPERS:
            continue
        sent = {**form.defaults(), typed[0]: [HUGE.decode()]}
        answer = post(clients[person], form.address, urlencode(sent, doseq=True).encode())
        if answer.status_code >= 500 or (answer.status_code == 422 and HUGE not in answer.content):
            faults.append(f"{form.address} as {person}, {typed[0]}: {answer.status_code}")
    assert not faults


def test_a_form_of_a_strange_kind_is_no_fault(forms, clients, rng):
    faults = []
    for person, form in {form.route: (person, form) for person, form in some(forms, rng)}.values():
        for kind, body in STRANGE_TYPES:
            status = post(clients[person], form.address, body, kind).status_code
            faults += [f"{form.address} as {person}, {kind}: {status}"] if status >= 500 else []
    assert not faults


def questions(site, clients) -> dict[tuple[str, str], set[str]]:
    """The names that pages ask by in an address, by person and path: those of forms and links, and of their fields."""
    found: dict[tuple[str, str], set[str]] = {}
    for person in clients:
        reached = crawl(site, person, each_kind=1)
        for address in reached.pages:
            parts = urlsplit(address)
            names = found.setdefault((person, parts.path), {"page", "q", "back", "next"})
            names |= {name for name, _ in parse_qsl(parts.query, keep_blank_values=True)}
        for form in reached.forms.values():
            names = found.setdefault((person, urlsplit(form.page).path), set())
            names |= {box.name for box in form.boxes if box.name}
    return found


def test_no_query_is_a_fault(site, clients, rng):
    faults = []
    for (person, path), names in questions(site, clients).items():
        for headers in rng.choice([[{}], [{"HX-Request": "true"}]]):
            query = [
                (name, rng.choice(NASTY)) for name in sorted(names) for _ in range(rng.choice([1, 1, 2]))
            ]
            address = f"{path}?{urlencode(query)}"
            status = clients[person].get(address, headers=headers).status_code
            faults += [f"{status} {address[:400]} as {person}"] if status >= 500 else []
    assert not faults


def test_no_address_is_a_fault(clients, rng):
    """Whatever stands in it for a number, a code or a name; a number that fits no row is as unknown as any other."""
    faults = []
    for route in (route for route, row in TABLE.items() if row.about):
        texts = ["9" * 30, "0", *(quote(value, safe="") for value in rng.sample(NASTY[1:], 4))]
        for address in {_with(route, text) for text in texts} - {""}:
            for person, client in clients.items():
                status = client.get(address).status_code
                faults += [f"{status} {address} as {person}"] if status >= 500 else []
    assert not faults


def _with(route: str, text: str) -> str:
    """The route's address with this in the place of what it is about; empty where no such address leads to it."""
    marks = [str(each) for each in UNKNOWN[TABLE[route].about]]
    address = reverse(route, args=UNKNOWN[TABLE[route].about]).replace(marks[0], text, 1)
    return address if route_of(unquote(address, errors="replace")) == route else ""


def test_a_form_that_loses_what_was_typed_is_caught(forms, clients):
    form = next(form for _, form in forms if form.route == "office:cancel")
    answer = post(clients["manager"], form.address, encoded([("reason", b""), ("note", b"typed here")]))
    planted = replace(form, boxes=(*form.boxes, Box("note", "text")))
    assert list(lost(planted, [("note", b"typed here")], answer)) == ["note"]
