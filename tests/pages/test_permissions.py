"""Who gets where: every route, for six people, with both methods, on an object of the own practice, of another
practice, and on none at all. A route that is missing from the table fails."""

import datetime
import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from django.db import connection, transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone
from pytest_django import DjangoDbBlocker

from labcases.cases.actions.crossings import receive_at_laboratory
from labcases.cases.actions.moves import start_stage
from labcases.cases.models import Stage
from labcases.measurements.actions.readings import record_readings
from labcases.people.actions.links import make_link
from labcases.people.models import User
from labcases.planning.models import Absence
from labcases.post.actions.links import make_link as make_case_link
from tests.factories.attachments import AttachmentFactory
from tests.factories.cases import NOW, ImportLineFactory, taken_in_case
from tests.factories.measurements import entry
from tests.factories.people import (
    BenchDeviceFactory,
    ClinicianFactory,
    ManagerFactory,
    SavedViewFactory,
    TechnicianFactory,
)
from tests.factories.planning import (
    AbsenceFactory,
    CalendarFeedFactory,
    ClosedDayFactory,
    ProposalFactory,
)
from tests.factories.post import LetterFactory
from tests.factories.tickets import PrintRunFactory, WorkTicketFactory

LABORATORY = ("technician", "manager")
MANAGERS = ("manager",)
CLINICIANS = ("clinician", "clinician elsewhere")
SIGNED_IN = (*LABORATORY, *CLINICIANS)
EVERYBODY = (*SIGNED_IN, "anonymous", "disabled")
PEOPLE = EVERYBODY


@dataclass(frozen=True)
class Row:
    """One route: who may, by which methods, and what its address is about ("" for no object)."""

    people: tuple[str, ...]
    methods: str = "GET"
    about: str = ""


BOTH = "GET POST"
TABLE = {
    "home": Row(SIGNED_IN),
    "alive": Row(EVERYBODY),
    "ready": Row(EVERYBODY),
    "sign_in": Row(EVERYBODY, BOTH),
    "sign_out": Row(SIGNED_IN, "POST"),
    # Who is signed in already is led on, and who sent no password is led to the door.
    "second_step": Row(EVERYBODY, BOTH),
    "sign_in_by_passkey": Row(EVERYBODY, BOTH),
    "own_app": Row(SIGNED_IN, BOTH),
    "own_app_picture": Row(SIGNED_IN),
    "own_passkey": Row(SIGNED_IN, BOTH),
    "own_codes": Row(SIGNED_IN, BOTH),
    "remove_own_factor": Row(SIGNED_IN, "POST"),
    "own_pin": Row(LABORATORY, BOTH),
    "make_bench_device": Row(LABORATORY, BOTH),
    # At a device that is none, everybody is led on.
    "at_the_bench": Row(EVERYBODY, BOTH),
    "lock": Row(SIGNED_IN, "POST"),
    "set_password": Row(EVERYBODY, BOTH, "password key"),
    "own_sign_in": Row(SIGNED_IN),
    "confirm": Row(SIGNED_IN, BOTH),
    "own_password": Row(SIGNED_IN, BOTH),
    "end_own_session": Row(SIGNED_IN, "POST"),
    "choose_language": Row(SIGNED_IN, "POST"),
    "still_here": Row(SIGNED_IN, "POST"),
    "scan": Row(SIGNED_IN),
    "ticket": Row(SIGNED_IN, about="ticket"),
    "ticket_pdf": Row(SIGNED_IN, about="ticket"),
    "display_guidance": Row(SIGNED_IN),
    "help": Row(SIGNED_IN),
    "help_page": Row(SIGNED_IN, about="help page"),
    "glossary": Row(SIGNED_IN),
    "put_hint_away": Row(SIGNED_IN, "POST", "hint"),
    "hints_again": Row(SIGNED_IN, "POST"),
    "calculators": Row(SIGNED_IN),
    "calculator": Row(SIGNED_IN, BOTH, "calculator"),
    "calculator_examples": Row(SIGNED_IN),
    "office:today": Row(MANAGERS),
    "office:cases": Row(MANAGERS),
    "office:assign": Row(MANAGERS, "POST"),
    "office:bulk": Row(MANAGERS, BOTH),
    "office:export": Row(MANAGERS, about="kind of file"),
    "office:columns": Row(MANAGERS, "POST"),
    "office:keys": Row(MANAGERS, "POST"),
    "office:imports": Row(MANAGERS, BOTH),
    "office:import": Row(MANAGERS, about="file of cases"),
    "office:import_columns": Row(MANAGERS, BOTH, "file of cases"),
    "office:import_accept": Row(MANAGERS, "POST", "file of cases"),
    "office:import_again": Row(MANAGERS, "POST", "file of cases"),
    "office:import_drop": Row(MANAGERS, "POST", "file of cases"),
    "office:import_rest": Row(MANAGERS, about="file of cases"),
    "office:views": Row(MANAGERS),
    "office:save_view": Row(MANAGERS, BOTH),
    "office:view": Row(MANAGERS, BOTH, "saved view"),
    "office:move_view": Row(MANAGERS, "POST", "saved view"),
    "office:remove_view": Row(MANAGERS, "POST", "saved view"),
    "office:new_case": Row(MANAGERS, BOTH),
    "office:case": Row(MANAGERS, about="case"),
    "office:case_log": Row(MANAGERS, about="case"),
    "office:prescription": Row(MANAGERS, BOTH, "case"),
    "office:sign": Row(MANAGERS, "POST", "case"),
    "office:dates": Row(MANAGERS, BOTH, "case"),
    "office:receive": Row(MANAGERS, BOTH, "case"),
    "office:hand_over": Row(MANAGERS, "POST", "case"),
    "office:record_clinic": Row(MANAGERS, BOTH, "case"),
    "office:send_back": Row(MANAGERS, BOTH, "case"),
    "office:cancel": Row(MANAGERS, BOTH, "case"),
    "office:case_record": Row(MANAGERS, about="case"),
    "office:case_record_pdf": Row(MANAGERS, about="case"),
    "office:case_record_json": Row(MANAGERS, about="case"),
    "office:erase_patient": Row(MANAGERS, BOTH, "case"),
    "office:retention": Row(MANAGERS),
    "office:skip": Row(MANAGERS, BOTH, "stage"),
    "office:plan": Row(MANAGERS),
    "office:plan_give": Row(MANAGERS, "POST"),
    "office:plan_pin": Row(MANAGERS, "POST", "stage"),
    "office:propose": Row(MANAGERS, "POST"),
    "office:proposal": Row(MANAGERS, about="proposal"),
    "office:proposal_accept": Row(MANAGERS, "POST", "proposal"),
    "office:proposal_decline": Row(MANAGERS, "POST", "proposal"),
    "office:proposal_stop": Row(MANAGERS, "POST", "proposal"),
    "office:proposal_again": Row(MANAGERS, "POST", "proposal"),
    "office:case_weight": Row(MANAGERS, "POST", "case"),
    "office:collections": Row(LABORATORY),
    "office:collections_sheet": Row(LABORATORY),
    "office:working_days": Row(MANAGERS),
    "office:week": Row(MANAGERS, "POST"),
    "office:close_days": Row(MANAGERS, "POST"),
    "office:adopt_holidays": Row(MANAGERS, "POST"),
    "office:lay_days": Row(MANAGERS, "POST"),
    "office:open_day": Row(MANAGERS, "POST", "closed day"),
    "office:add_absence": Row(MANAGERS, "POST"),
    "office:remove_absence": Row(MANAGERS, "POST", "absence"),
    "office:hours": Row(MANAGERS, BOTH, "person at the bench"),
    "office:transport": Row(MANAGERS, BOTH, "practice"),
    "office:times": Row(MANAGERS),
    "office:time": Row(MANAGERS, BOTH, "laboratory stage"),
    "office:adopt_time": Row(MANAGERS, "POST", "laboratory stage"),
    "office:skills": Row(MANAGERS, BOTH),
    "promise": Row(("manager", *CLINICIANS)),
    "case_promise": Row(SIGNED_IN, about="case"),
    "attachments": Row(SIGNED_IN, BOTH, "case"),
    "attachment": Row(SIGNED_IN, about="attachment"),
    "attachment_file": Row(SIGNED_IN, about="attachment"),
    "attachment_small": Row(SIGNED_IN, about="attachment"),
    "attachment_remove": Row(SIGNED_IN, BOTH, "attachment"),
    "my_calendar": Row(SIGNED_IN, BOTH),
    "calendar_feed": Row(EVERYBODY, about="calendar token"),
    "office:tickets": Row(MANAGERS, BOTH),
    "office:print_run": Row(MANAGERS, about="print run"),
    "office:print_run_pdf": Row(MANAGERS, about="print run"),
    "office:print_run_again": Row(MANAGERS, "POST", "print run"),
    "office:laboratory": Row(MANAGERS, BOTH),
    "office:standard": Row(MANAGERS, BOTH),
    "office:moulds": Row(MANAGERS, BOTH),
    "office:checklists": Row(MANAGERS),
    "office:checklist": Row(MANAGERS, BOTH, "stage kind"),
    "office:path": Row(MANAGERS, BOTH, "case kind"),
    "office:people": Row(MANAGERS),
    "office:person_new": Row(MANAGERS, BOTH),
    "office:person": Row(MANAGERS, BOTH, "person"),
    "office:person_factors": Row(MANAGERS, "POST", "person"),
    "office:person_link": Row(MANAGERS, "POST", "person"),
    "office:devices": Row(MANAGERS),
    "office:revoke_device": Row(MANAGERS, "POST", "bench device"),
    "office:practices": Row(MANAGERS),
    "office:practice_new": Row(MANAGERS, BOTH),
    "office:practice": Row(MANAGERS, BOTH, "practice"),
    "bench:work": Row(LABORATORY),
    "bench:batch": Row(LABORATORY, BOTH),
    "bench:batch_do": Row(LABORATORY, BOTH),
    "bench:sheet": Row(LABORATORY, about="stage"),
    # A GET of what only a POST does leads back to the sheet: so a sign-in that ran out ends where the work is.
    "bench:start": Row(LABORATORY, BOTH, "stage"),
    "bench:record": Row(LABORATORY, BOTH, "stage"),
    "bench:draft": Row(LABORATORY, BOTH, "stage"),
    "bench:tick": Row(LABORATORY, BOTH, "step"),
    "bench:tick_all": Row(LABORATORY, BOTH, "stage"),
    "bench:hold": Row(LABORATORY, BOTH, "stage"),
    "bench:resume": Row(LABORATORY, BOTH, "stage"),
    "bench:undo": Row(LABORATORY, BOTH, "stage"),
    "bench:finish": Row(LABORATORY, BOTH, "stage"),
    "bench:send_back": Row(LABORATORY, BOTH, "stage"),
    "bench:ticket": Row(LABORATORY, BOTH, "stage"),
    "bench:correct": Row(LABORATORY, BOTH, "reading"),
    "bench:case": Row(LABORATORY, about="case"),
    "bench:receive": Row(LABORATORY, BOTH, "case"),
    "bench:hand_over": Row(LABORATORY, BOTH, "case"),
    "office:upkeep": Row(MANAGERS),
    "office:letters": Row(MANAGERS),
    "office:letter_again": Row(MANAGERS, "POST", "letter"),
    "office:letter_drop": Row(MANAGERS, "POST", "letter"),
    "case_link": Row(EVERYBODY, BOTH, "address in a letter"),
    "clinic:letters": Row(CLINICIANS, BOTH),
    "clinic:cases": Row(CLINICIANS),
    "clinic:new_case": Row(CLINICIANS, BOTH),
    "clinic:completed": Row(CLINICIANS),
    "clinic:case": Row(CLINICIANS, about="case"),
    "clinic:case_log": Row(CLINICIANS, about="case"),
    "clinic:prescription": Row(CLINICIANS, BOTH, "case"),
    "clinic:sign": Row(CLINICIANS, "POST", "case"),
    "clinic:dates": Row(CLINICIANS, BOTH, "case"),
    "clinic:arrived": Row(CLINICIANS, "POST", "case"),
    "clinic:record": Row(CLINICIANS, BOTH, "case"),
    "clinic:case_record": Row(CLINICIANS, about="case"),
    "clinic:case_record_pdf": Row(CLINICIANS, about="case"),
    "clinic:case_record_json": Row(CLINICIANS, about="case"),
    "clinic:send_back": Row(CLINICIANS, BOTH, "case"),
}
UNKNOWN = {
    "case": ["26-99999-0"],
    "ticket": ["ABCDEFGHIJKLMNOPQRSTUVWXYZ"],
    "stage": [999_999],
    "step": [999_999, 1],
    "reading": [999_999],
    "attachment": [999_999],
    "help page": ["kitchen"],
    "hint": ["nothing"],
    "person": [999_999],
    "practice": [999_999],
    "stage kind": ["no_such_stage"],
    "case kind": ["no_such_kind"],
    "calculator": ["no_such_calculator"],
    "proposal": [999_999],
    "print run": [999_999],
    "closed day": [999_999],
    "absence": [999_999],
    "person at the bench": [999_999],
    "laboratory stage": ["no_such_stage"],
    "calendar token": ["Z" * 43],
    "letter": [999_999],
    "address in a letter": ["Z" * 43],
    "password key": ["Z" * 43],
    "bench device": [999_999],
    "kind of file": ["exe"],
    "saved view": [999_999],
    "file of cases": [999_999],
}
# A page's own tokens differ each time it is asked for, and so does the reference of a page that tells of an error.
SECRETS = re.compile(
    rb'(csrfmiddlewaretoken|one_time_key)" value="[^"]+"|"X-CSRFToken": "[^"]+"|<p class="fine" id="reference">.*?</p>'
)
# About the laboratory itself, or about cases that only the laboratory sees: nothing of it belongs to one practice.
OF_NO_PRACTICE = (
    "help page",
    "hint",
    "person",
    "practice",
    "stage kind",
    "case kind",
    "calculator",
    "proposal",
    "print run",
    "closed day",
    "absence",
    "person at the bench",
    "laboratory stage",
    "calendar token",
    "letter",
    "address in a letter",
    "password key",
    "bench device",
    "kind of file",
    "saved view",
    "file of cases",
)


def all_routes(resolver: URLResolver | None = None, prefix: str = "") -> list[str]:
    names: list[str] = []
    for each in (resolver or get_resolver()).url_patterns:
        if isinstance(each, URLResolver):
            names += all_routes(each, f"{prefix}{each.namespace}:" if each.namespace else prefix)
        elif isinstance(each, URLPattern):
            names.append(f"{prefix}{each.name}")
    return names


def test_every_route_has_its_row() -> None:
    routes = all_routes()
    assert all(not route.endswith("None") for route in routes), "a route without a name"
    assert sorted(routes) == sorted(TABLE)


@pytest.fixture(scope="module")
def whole_world(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[dict[str, object]]:
    """Made once: each test then works in a transaction inside this one, which gives it the world as it was."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield two_practices()
        transaction.set_rollback(True)


@pytest.fixture
def world(whole_world: dict[str, object], db: None) -> dict[str, object]:
    return whole_world


def two_practices() -> dict[str, object]:
    """Two practices, each with a case at the bench; six people; everything an address can be about."""
    people: dict[str, User] = {
        "manager": ManagerFactory(),
        "technician": TechnicianFactory(),
        "clinician": ClinicianFactory(),
        "clinician elsewhere": ClinicianFactory(),
        "disabled": TechnicianFactory(),
    }
    mine = case_at_the_bench(people, "clinician")
    foreign = case_at_the_bench(people, "clinician elsewhere")
    return {"people": people, "own": mine, "foreign": foreign}


def case_at_the_bench(people: dict[str, User], whose: str) -> dict[str, list[object]]:
    """A case of that clinician's, and for everything that an address can be about its parts."""
    case = taken_in_case(prescriber=people[whose], by=people["manager"])
    receive_at_laboratory(
        case=case, agent="Label A", minutes=10, minutes_required=10, by=people["technician"], now=NOW
    )
    stage = Stage.objects.get(pk=case.current_stage_id)
    start_stage(stage=stage, by=people["technician"], expected_version=stage.version, now=NOW)
    (reading,) = record_readings(
        stage=stage, entries=[entry("tray_thickness", "2.5")], by=people["technician"], now=NOW
    )
    return {
        "case": [case.number],
        "ticket": [WorkTicketFactory(stage=stage).code],
        "stage": [stage.pk],
        "step": [stage.pk, stage.steps.first().pk],
        "reading": [reading.pk],
        "attachment": [AttachmentFactory(case=case, stage=stage, by=people[whose]).pk],
        "help page": ["bench"],
        "hint": ["my-work"],
        "person": [people[whose].pk],
        "practice": [people[whose].practice_id],
        "stage kind": ["occlusion_rims"],
        "calculator": ["lateral_setting"],
        "case kind": ["complete"],
        "proposal": [ProposalFactory().pk],
        "print run": [PrintRunFactory(pdf=b"%PDF-1.7", pages=1).pk],
        "closed day": [ClosedDayFactory(day=_to_come()).pk],
        "absence": [_absence_to_come(people["technician"]).pk],
        "person at the bench": [people["technician"].pk],
        "laboratory stage": ["occlusion_rims"],
        "calendar token": [CalendarFeedFactory().token],
        "bench device": [BenchDeviceFactory().pk],
        "letter": [LetterFactory(person=people[whose]).pk],
        "address in a letter": [make_case_link(person=people[whose], case=case, now=timezone.now())],
        "password key": [make_link(people[whose], by=people["manager"], now=timezone.now())[0]],
        "kind of file": ["csv"],
        "saved view": [SavedViewFactory(owner=None).pk],
        "file of cases": [ImportLineFactory().case_import_id],
    }


DAYS_TO_COME = itertools.count(30)


def _to_come() -> datetime.date:
    return timezone.localdate() + datetime.timedelta(days=next(DAYS_TO_COME))


def _absence_to_come(person: User) -> Absence:
    day = _to_come()
    return AbsenceFactory(person=person, first_day=day, last_day=day)


def _answers(world: dict, person: str, url: str, method: str) -> int:
    client = Client(raise_request_exception=True)
    user = world["people"].get(person)
    if user is not None:
        client.force_login(user)
        if person == "disabled":
            User.objects.filter(pk=user.pk).update(is_active=False)
    status = client.get(url).status_code if method == "GET" else client.post(url).status_code
    if person == "disabled":
        User.objects.filter(pk=user.pk).update(is_active=True)
    return status


def _cases_of(row: Row) -> list[str]:
    return ["own", "foreign", "unknown"] if row.about else [""]


def _expected(row: Row, person: str, method: str, whose: str) -> set[int] | str:
    """The answers that are right; "no error" where what is sent decides which."""
    if person in ("anonymous", "disabled") and person not in row.people:
        return {302} | ({405} if method not in row.methods.split() else set())
    if method not in row.methods.split():
        return {405}
    if person not in row.people:
        return {403}
    if whose == "unknown":
        return {404}
    practice = {"own": "clinician", "foreign": "clinician elsewhere"}.get(whose)
    if person in CLINICIANS and row.about not in OF_NO_PRACTICE and practice and person != practice:
        return {404}
    return "no error"


# The same gates stand before both databases; of PostgreSQL every third route asks whether they do.
ROUTES = sorted(TABLE)[:: 1 if connection.vendor == "sqlite" else 3]


@pytest.mark.parametrize("route", ROUTES)
def test_a_route_answers_each_person_as_the_table_says(route: str, world: dict) -> None:
    row = TABLE[route]
    wrong = []
    for whose in _cases_of(row):
        arguments = (UNKNOWN if whose == "unknown" else world.get(whose, {})).get(row.about, [])
        url = reverse(route, args=arguments)
        for person in PEOPLE:
            for method in ("GET", "POST"):
                expected = _expected(row, person, method, whose)
                status = _answers(world, person, url, method)
                right = (
                    status < 500 and status not in (403, 404, 405)
                    if expected == "no error"
                    else status in expected
                )
                if not right:
                    wrong.append(
                        f"{method} {url} as {person} ({whose or 'no object'}): {status}, not {expected}"
                    )
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize(
    "route",
    sorted(route for route, row in TABLE.items() if row.about in ("case", "stage", "ticket", "attachment")),
)
def test_a_foreign_object_and_an_unknown_one_answer_a_clinician_alike(route: str, world: dict) -> None:
    row = TABLE[route]
    client = Client()
    client.force_login(world["people"]["clinician"])
    foreign = client.get(reverse(route, args=world["foreign"][row.about]))
    unknown = client.get(reverse(route, args=UNKNOWN[row.about]))
    assert foreign.status_code == unknown.status_code
    hide = [str(part).encode() for part in (*world["foreign"][row.about], *UNKNOWN[row.about])]

    def bare(content: bytes) -> bytes:
        for part in hide:
            content = content.replace(part, b"")
        return SECRETS.sub(b"", content)

    assert bare(foreign.content) == bare(unknown.content)
