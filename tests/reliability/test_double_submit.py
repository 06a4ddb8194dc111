"""The same form sent two to ten times at the same moment, and once more later: one effect, one answer."""

import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.cases.actions.moves import finish_stage
from labcases.cases.choices import Act, StageKind
from labcases.cases.models import Case, Event, Return
from labcases.cases.queries import stages_to_return_to
from labcases.measurements.models import Reading
from tests.bench.benchwork import an_hour_ago, stage_at_work
from tests.factories.people import ClinicianFactory, LaboratoryFactory, ManagerFactory, TechnicianFactory
from tests.factories.visits import case_at
from tests.reliability.crowd import browser_of
from tests.reliability.together import at_once

pytestmark = pytest.mark.django_db(transaction=True)

TIMES = [2, 3, 5, 10]


@pytest.fixture
def technician():
    return TechnicianFactory()


def sent(person, address, form, *, times):
    """The answers to one form that was sent so often at once, each by a tab of its own, and once more later."""
    browsers = [browser_of(person) for _ in range(times)]
    answers = at_once(*[lambda tab=tab: tab.post(address, form) for tab in browsers])
    answers.append(browsers[0].post(address, form))
    return {(answer.status_code, answer.headers.get("Location")) for answer in answers}


@pytest.mark.parametrize("times", TIMES)
def test_figures_are_recorded_once(technician, times):
    stage = stage_at_work(by=technician)
    form = {
        "version": stage.version,
        "one_time_key": "figures",
        "instrument_mm": "digital_caliper",
        "instrument_deg": "protractor",
        "maxillary-anterior_height-1": "22,0",
        "maxillary-anterior_height-2": "22.1",
        "mandibular-anterior_height-1": "18",
    }
    answers = sent(technician, reverse("bench:record", args=[stage.pk]), form, times=times)
    assert answers == {(302, reverse("bench:sheet", args=[stage.pk]) + "#figures")}
    assert Reading.objects.count() == 2
    assert Event.objects.filter(act=Act.READING).count() == 2


@pytest.mark.parametrize("times", TIMES)
def test_a_stage_is_finished_once(technician, times):
    stage = stage_at_work(by=technician, kind=StageKind.PROCESSING)
    form = {"version": stage.version, "one_time_key": "finish"}
    answers = sent(technician, reverse("bench:finish", args=[stage.pk]), form, times=times)
    assert answers == {(302, reverse("bench:work"))}
    assert Event.objects.filter(act=Act.FINISHED).count() == 1
    stage.refresh_from_db()
    assert (stage.state, stage.version) == ("done", form["version"] + 1)


@pytest.mark.parametrize("times", TIMES)
def test_work_is_sent_back_once_from_the_bench(technician, times):
    stage = stage_at_work(by=technician, kind=StageKind.MASTER_CAST)
    browser_of(technician).post(
        reverse("bench:finish", args=[stage.pk]), {"version": stage.version, "one_time_key": "cast"}
    )
    base = Case.objects.get(pk=stage.case_id).current_stage
    form = {
        "version": base.version,
        "one_time_key": "back",
        "to": stage.pk,
        "cause": "cast",
        "note": "Bubble on the crest",
    }
    answers = sent(technician, reverse("bench:send_back", args=[base.pk]), form, times=times)
    assert answers == {(302, reverse("bench:work"))}
    assert Return.objects.count() == Event.objects.filter(act=Act.SENT_BACK).count() == 1
    assert base.case.stages.filter(visit=2).count() == 2


def out_for_try_in(person):
    case, stage = case_at(
        StageKind.TRY_IN, starts_at=StageKind.TOOTH_ARRANGEMENT, prescriber=person, now=an_hour_ago()
    )
    to = stages_to_return_to(case)[0]
    return case, {
        "stage": stage.pk,
        "version": stage.version,
        "one_time_key": "back",
        "to": to.pk,
        "cause": "midline",
        "note": "",
    }


@pytest.mark.parametrize("times", TIMES)
def test_work_is_sent_back_once_from_the_office(times):
    case, form = out_for_try_in(ClinicianFactory())
    address = reverse("office:send_back", args=[case.number])
    answers = sent(ManagerFactory(), address, form, times=times)
    assert answers == {(302, reverse("office:case", args=[case.number]))}
    assert Return.objects.count() == Event.objects.filter(act=Act.SENT_BACK).count() == 1


@pytest.mark.parametrize("times", TIMES)
def test_a_complaint_sends_finished_work_back_once(times):
    person = ClinicianFactory()
    case, stage = case_at(
        StageKind.INSERTION, starts_at=StageKind.PROCESSING, prescriber=person, now=an_hour_ago()
    )
    finish_stage(stage=stage, by=person, expected_version=stage.version, now=an_hour_ago())
    case.refresh_from_db()
    stage.refresh_from_db()
    to = stages_to_return_to(case)[0]
    form = {"version": stage.version, "one_time_key": "back", "to": to.pk, "cause": "fracture", "note": ""}
    answers = sent(person, reverse("clinic:send_back", args=[case.number]), form, times=times)
    assert answers == {(302, reverse("clinic:case", args=[case.number]))}
    assert Return.objects.count() == Event.objects.filter(act=Act.SENT_BACK).count() == 1


@pytest.mark.parametrize("times", TIMES)
def test_a_new_case_is_opened_once(times):
    LaboratoryFactory()
    clinician = ClinicianFactory()
    form = {
        "one_time_key": "case",
        "prescriber": clinician.pk,
        "patient_code": "EH-900",
        "kind": "complete",
        "arches": "both",
        "work_description": "Complete dentures",
        "impression_material": "silicone",
        "base_material": "Heat-cured acrylic",
        "subcontractor": "none",
        "wanted_definitive_impressions": f"{timezone.localdate().year + 1}-05-07",
        "figure_papilla_to_resting_lip": "7,5",
        "sign": "on",
    }
    answers = sent(clinician, reverse("clinic:new_case"), form, times=times)
    case = Case.objects.get()
    assert answers == {(302, reverse("clinic:case", args=[case.number]))}
    assert (Reading.objects.count(), case.events.filter(act=Act.OPENED).count()) == (1, 1)


def test_the_same_key_of_two_people_is_two_forms(technician):
    """Keys are random, but whoever copies a page's source must not get another's answer by it."""
    colleague = TechnicianFactory()
    stages = [stage_at_work(by=technician, kind=StageKind.PROCESSING) for _ in range(2)]
    answers = at_once(
        *[
            lambda person=person, stage=stage: browser_of(person).post(
                reverse("bench:finish", args=[stage.pk]), {"version": stage.version, "one_time_key": "same"}
            )
            for person, stage in zip((technician, colleague), stages, strict=True)
        ]
    )
    assert [answer.status_code for answer in answers] == [302, 302]
    assert Event.objects.filter(act=Act.FINISHED).count() == 2
