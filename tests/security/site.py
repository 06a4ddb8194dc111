"""A laboratory with two practices whose every text carries a word of its own, and a case at each place of its way."""

import datetime
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from django.db import connection, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from labcases.cases.actions.assigning import assign
from labcases.cases.actions.checklists import tick_step
from labcases.cases.actions.crossings import hand_to_clinic
from labcases.cases.actions.intake import cancel_case
from labcases.cases.actions.moves import finish_stage, hold_stage, start_stage
from labcases.cases.choices import ImportState, LineState, Location, ReturnCause, StageKind, StageState
from labcases.cases.models import Case, Stage
from labcases.measurements.actions.finishing import finish_bench_stage
from labcases.measurements.actions.moulds import import_moulds
from labcases.measurements.actions.readings import correct_reading, record_readings
from labcases.measurements.actions.returning import send_back
from labcases.pages.entering import CONFIRMED
from labcases.people.models import Practice, User
from labcases.planning.actions.feeds import make_feed
from labcases.tickets.actions import issue_ticket
from tests.factories.attachments import AttachmentFactory
from tests.factories.cases import CaseImportFactory, ImportLineFactory, taken_in_case
from tests.factories.measurements import entry
from tests.factories.people import (
    ClinicianFactory,
    ManagerFactory,
    PracticeFactory,
    SavedViewFactory,
    TechnicianFactory,
)
from tests.factories.planning import (
    AbsenceFactory,
    ClosedDayFactory,
    ProposalCaseFactory,
    ProposalFactory,
    ProposalLineFactory,
)
from tests.factories.post import LetterFactory
from tests.factories.visits import case_at
from tests.security.browsing import Crawl

MOULDS = "mould,six_anterior_width,central_width,central_length,posterior_sum\nPebble 1,46.5,8.5,10,32\n"
RELEASED = StageKind.OCCLUSION_RIMS


@dataclass
class Side:
    """One practice; `word` stands in everything that was ever written about it, each time with what it was."""

    word: str
    clinician: User
    cases: list[Case] = field(default_factory=list)
    written: list[str] = field(default_factory=list)

    @property
    def practice(self) -> Practice:
        return self.clinician.practice

    def text(self, what: str) -> str:
        words = f"{self.word}{len(self.written):02d} {what}"
        self.written.append(words.split()[0])
        return words


@dataclass
class Site:
    manager: User
    technician: User
    sides: tuple[Side, Side]

    @property
    def people(self) -> dict[str, User]:
        mine, foreign = self.sides
        return {
            "manager": self.manager,
            "technician": self.technician,
            "clinician": mine.clinician,
            "clinician elsewhere": foreign.clinician,
        }

    def client(self, person: str) -> Client:
        client = Client(raise_request_exception=False)
        client.force_login(self.people[person])
        # As after a full sign-in a moment ago, so that the pages about the own sign-in open too.
        session = client.session
        session[CONFIRMED] = timezone.now().timestamp()
        session.save()
        return client


@contextmanager
def standing(*, sides: int) -> Iterator[Site]:
    """A furnished site for as long as a file of tests lasts; afterwards there was none."""
    if connection.vendor == "postgresql":
        # What earlier tests undid lies in the tables until it is swept up, and every page would read past it.
        with connection.cursor() as cursor:
            cursor.execute("VACUUM ANALYZE")
    with transaction.atomic():
        yield furnished(sides=sides)
        transaction.set_rollback(True)


def furnished(*, sides: int = 2) -> Site:
    """The whole site, brought there by the actions that people use in the last week; `sides` practices have cases."""
    manager, technician = ManagerFactory(), TechnicianFactory(may_release_outside=True)
    import_moulds(text=MOULDS, note="From the drawer.", by=manager, now=days_ago(8), expected=None)
    both = (_side("Kestrel"), _side("Wagtail"))
    for side in both[:sides]:
        furnish(side, manager, technician)
    _plan(both, manager, technician)
    return Site(manager, technician, both)


def _plan(sides: tuple[Side, Side], manager: User, technician: User) -> None:
    """A proposal to decide on, days that are not as others, and everybody's calendar address."""
    stage = next(each for each in Stage.objects.with_case() if each.state == StageState.WAITING)
    proposal = ProposalFactory(asked_by=manager)
    row = ProposalCaseFactory(proposal=proposal, case=stage.case)
    ProposalLineFactory(
        proposal=proposal, proposal_case=row, stage=stage, stage_version=stage.version, person=technician
    )
    day = timezone.localdate() + datetime.timedelta(days=40)
    ClosedDayFactory(day=day)
    AbsenceFactory(person=technician, first_day=day, last_day=day)
    SavedViewFactory(owner=manager)
    SavedViewFactory(owner=None)
    practice = sides[0].practice.code
    ImportLineFactory(cells=[practice, "P-7"])
    checked = CaseImportFactory(state=ImportState.CHECKED)
    ImportLineFactory(case_import=checked, cells=[practice, "P-8"], state=LineState.READY)
    for side in sides:
        make_feed(of=side.practice, by=side.clinician, now=days_ago(1))
        LetterFactory(person=side.clinician)


def days_ago(days: float) -> datetime.datetime:
    return timezone.now() - datetime.timedelta(days=days)


def _side(word: str) -> Side:
    practice = PracticeFactory(code=word[:3].upper(), name=f"{word} practice", address=f"1 {word} Street")
    return Side(word, ClinicianFactory(practice=practice, display_name=f"D. {word}", username=word.lower()))


def furnish(side: Side, manager: User, technician: User) -> None:
    for build in (
        _incomplete,
        _coming,
        _waiting,
        _at_work,
        _held,
        _returned,
        _ready,
        _going,
        _at_clinic,
        _complete,
        _cancelled,
    ):
        made = build(side, manager, technician)
        side.cases.append(Case.objects.get(pk=made.pk))


def _prescription(side: Side) -> dict[str, object]:
    return {
        "prescriber": side.clinician,
        "patient_code": side.text("P"),
        "work_description": side.text("work"),
        "base_material": side.text("base"),
        "shade": side.text("shade"),
        "tooth_wishes": side.text("teeth"),
        "subcontractor": side.text("elsewhere"),
        "notes": side.text("notes"),
    }


def _incomplete(side: Side, manager: User, technician: User) -> Case:
    return taken_in_case(by=manager, now=days_ago(7), sign=False, **_prescription(side))


def _coming(side: Side, manager: User, technician: User) -> Case:
    return taken_in_case(by=side.clinician, now=days_ago(7), **_prescription(side))


def _at(
    kind: StageKind, side: Side, manager: User, *, location: Location = Location.LABORATORY, **more
) -> Stage:
    _, stage = case_at(
        kind,
        location=location,
        now=days_ago(6),
        by=manager,
        starts_at=StageKind.CUSTOM_TRAY,
        **_prescription(side),
        **more,
    )
    return stage


def _waiting(side: Side, manager: User, technician: User) -> Case:
    stage = _at(StageKind.CUSTOM_TRAY, side, manager)
    assign(stages=[(stage, stage.version)], to=technician, by=manager, now=days_ago(5))
    return stage.case


def _started(kind: StageKind, side: Side, manager: User, technician: User) -> Stage:
    stage = _at(kind, side, manager)
    start_stage(stage=stage, by=technician, expected_version=stage.version, now=days_ago(4))
    return _again(stage)


def _again(stage: Stage) -> Stage:
    return Stage.objects.with_case().get(pk=stage.pk)


def _at_work(side: Side, manager: User, technician: User) -> Case:
    stage = _started(StageKind.CUSTOM_TRAY, side, manager, technician)
    tick_step(step=stage.steps.first(), by=technician, now=days_ago(3))
    (reading,) = record_readings(
        stage=stage, entries=[entry("tray_thickness", "2.5")], by=technician, now=days_ago(3)
    )
    correct_reading(
        reading=reading,
        entry=entry("tray_thickness", "2.4"),
        reason=side.text("misread"),
        by=technician,
        now=days_ago(2),
    )
    issue_ticket(stage=stage, by=technician, now=days_ago(2))
    for by in (side.clinician, technician):
        AttachmentFactory(
            case=stage.case, stage=stage, by=by, at=days_ago(2), caption=side.text("photograph")
        )
    return stage.case


def _held(side: Side, manager: User, technician: User) -> Case:
    stage = _started(StageKind.OCCLUSION_RIMS, side, manager, technician)
    reason = side.text("wax is out")
    hold_stage(stage=stage, by=technician, expected_version=stage.version, reason=reason, now=days_ago(2))
    return stage.case


def _returned(side: Side, manager: User, technician: User) -> Case:
    stage = _at(StageKind.TRY_IN, side, manager, location=Location.CLINIC)
    to = stage.case.stages.get(kind=StageKind.TOOTH_ARRANGEMENT)
    send_back(
        stage=stage,
        to=to,
        cause=ReturnCause.MIDLINE,
        note=side.text("midline"),
        by=side.clinician,
        expected_version=stage.version,
        now=days_ago(2),
        outcome=side.text("outcome"),
    )
    return stage.case


def _ready(side: Side, manager: User, technician: User) -> Case:
    """Done at the bench, not handed over yet."""
    return _at(StageKind.JAW_RELATION, side, manager, location=Location.LABORATORY).case


def _going(side: Side, manager: User, technician: User) -> Case:
    stage = _started(RELEASED, side, manager, technician)
    record_readings(stage=stage, entries=[entry("anterior_height", "24.5")], by=technician, now=days_ago(3))
    finish_bench_stage(
        stage=stage,
        by=technician,
        expected_version=stage.version,
        now=days_ago(2),
        reason=side.text("release"),
    )
    hand_to_clinic(case=stage.case, by=technician, now=days_ago(1))
    return stage.case


def _at_clinic(side: Side, manager: User, technician: User) -> Case:
    return _at(StageKind.JAW_RELATION, side, manager, location=Location.CLINIC).case


def _complete(side: Side, manager: User, technician: User) -> Case:
    stage = _at(StageKind.INSERTION, side, manager, location=Location.CLINIC)
    finish_stage(
        stage=stage,
        by=side.clinician,
        expected_version=stage.version,
        now=days_ago(1),
        outcome=side.text("inserted"),
    )
    return stage.case


def _cancelled(side: Side, manager: User, technician: User) -> Case:
    case = taken_in_case(by=manager, now=days_ago(7), **_prescription(side))
    cancel_case(
        case=case, by=manager, reason=side.text("moved away"), expected_version=case.version, now=days_ago(1)
    )
    return case


def crawl(site: Site, person: str, *, each_kind: int = 10_000) -> Crawl:
    return Crawl(site.client(person), each_kind).visit([reverse("home")])
