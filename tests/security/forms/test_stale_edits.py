"""The same form is open twice. Whoever sends it second is told so: nothing is written over, and
what they typed is there to be read."""

import html

import pytest
from django.db import transaction

from tests.pages.test_permissions import TABLE
from tests.security.browsing import Form
from tests.security.filling import filled, rows, send, typed_in

pytestmark = pytest.mark.django_db

# Why the second form is no conflict.
NO_EDIT = {
    "calculator": "keeps nothing",
    "office:new_case": "makes a case of its own",
    "clinic:new_case": "makes a case of its own",
    "office:person_new": "makes a person of their own",
    "office:practice_new": "makes a practice of its own",
    "office:bulk": "each case carries its versions; an old one is left alone and named",
    "office:columns": "sets one person's columns to what they chose: set twice, they are set",
    "office:keys": "sets one switch to what its sender chose: set twice, it is set",
    "office:save_view": "makes a view of its own; a name that is taken is refused",
    "office:remove_view": "takes one row away; the second finds none",
    "office:imports": "keeps a file of its own",
    "office:import_again": "shown only where a worker died; the second finds its work begun",
    "office:import_drop": "takes one row away; the second finds none",
    "office:tickets": "prints the same papers again",
    "office:print_run_again": "offered only for a print that failed, and refused once it goes on: tested with its page",
    "bench:ticket": "prints the same paper again",
    "bench:draft": "keeps what one person typed for that person alone",
    "bench:undo": "offered for half a minute, and refused once anything was done since: tested with its action",
    "bench:batch": "keeps a list for the one person who scans it",
    "bench:batch_do": "each line carries its stage's version; an old one is left alone and named",
    "bench:tick": "sets one tick to what its sender saw: set twice, it is set",
    "office:skills": "guarded for each person by what the page showed; a form that changes nobody is no edit",
    "office:propose": "makes a proposal of its own",
    "office:proposal_accept": "each line carries its stage's version; an old one is left alone and named",
    "office:proposal_decline": "the second time the lines are declined already",
    "office:proposal_stop": "the second time the search has stopped already",
    "office:proposal_again": "asks for the same search again",
    "office:plan_pin": "sets one pin to what its sender saw: set twice, it is set",
    "office:case_weight": "sets one weight to what its sender chose: set twice, it is set",
    "office:lay_days": "lays the same days again",
    "office:add_absence": "adds an absence of its own",
    "office:remove_absence": "takes one row away; the second finds none",
    "office:open_day": "takes one row away; the second finds none",
    "office:adopt_time": "shown only once stages were finished; its version is tested with its action",
    "attachments": "adds a file of its own",
    "put_hint_away": "put away twice, a hint is away",
    "hints_again": "shown again twice, the hints are there",
    "office:erase_patient": "shown only for cases of long ago; its version is tested with its action",
    "case_link": "is used up by the first; the second is told so, and has typed nothing",
    "my_calendar": "makes an address of its own, and the one before stops working",
    "sign_in": "is no row's",
    "second_step": "is no row's",
    "sign_in_by_passkey": "is no row's",
    "own_app": "is set up once; tested with its page",
    "own_passkey": "adds a passkey of its own",
    "own_codes": "makes codes of its own, and those before stop working",
    "remove_own_factor": "takes one row away; the second finds none",
    "office:person_factors": "takes rows away; the second finds none",
    "own_pin": "is one person's own, who has just proved to be that person",
    "make_bench_device": "makes a device of its own",
    "at_the_bench": "is no row's",
    "lock": "is no row's",
    "office:revoke_device": "takes one device away; the second finds none",
    "confirm": "is no row's",
    "set_password": "its link works once; tested with its page",
    "own_password": "is one person's own, who has just proved to be that person",
    "end_own_session": "takes one session away; the second finds none",
    "choose_language": "says anew what the person wants",
    "still_here": "notes a moment",
    "office:person_link": "makes a link of its own, and the one before stops working",
    "sign_out": "is no row's",
}
EDITS = sorted(route for route, row in TABLE.items() if "POST" in row.methods and route not in NO_EDIT)


def changes_something(form: Form) -> bool:
    return form.route not in NO_EDIT and not (form.button and form.button[0] == "look")


@pytest.fixture
def edits(forms):
    return [(person, form) for person, form in forms if changes_something(form)]


def test_every_edit_was_found_on_a_page(edits):
    assert sorted({form.route for _, form in edits}) == EDITS


def test_whoever_sends_the_same_form_second_is_told_so(edits, clients, site):
    wrong = []
    for person, form in edits:
        with transaction.atomic():
            wrong += [
                f"{form.address} as {person}: {fault}"
                for fault in overtaken(form, clients[person], site, person)
            ]
            transaction.set_rollback(True)
    assert not wrong, "\n".join(wrong)


def overtaken(form: Form, client, site, person) -> list[str]:
    first = send(site.client(person), form, filled(form), key="first")
    if first.status_code != 302:
        return [f"the first was not taken: {first.status_code} {_errors(first)}"]
    before, sent = rows(), filled(form)
    second = send(client, form, sent, key="second")
    text = html.unescape(second.content.decode())
    faults = [f"the second: {second.status_code}"] if second.status_code != 409 else []
    faults += [f"lost {value!r}" for value in typed_in(form, sent) if value not in text.replace("<br>", "\n")]
    after = rows()
    faults += [f"wrote {label}" for label in after if after[label] != before[label]]
    return faults


def _errors(answer) -> str:
    text = answer.content.decode()
    start = text.find("error-summary")
    return " ".join(html.unescape(text[start : start + 900]).split()) if start >= 0 else ""
