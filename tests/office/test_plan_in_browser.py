"""The manager's way from a question to a plan, and what it does to a technician's day."""

import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.cases.choices import StageKind, StageState
from labcases.cases.models import Case
from labcases.planning.queries.board import bench_order
from tests.factories.people import PASSWORD, ClinicianFactory, LaboratoryFactory, ManagerFactory
from tests.planning.laboratory import case_here, skilled, stage

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
]


@pytest.fixture(autouse=True)
def nobody_works_in_the_background(settings):
    """The plan that is there at once is enough here; improving it has tests of its own."""
    settings.TASKS = {"default": {"BACKEND": "django_tasks.backends.dummy.DummyBackend"}}


def arrangement(days, **more):
    case = case_here(starts_at=StageKind.TOOTH_ARRANGEMENT, now=timezone.now(), **more)
    case.stages.filter(kind=StageKind.TRY_IN).update(
        due_on=timezone.localdate() + datetime.timedelta(days=days)
    )
    case.stages.filter(kind=StageKind.PROCESSING).update(state=StageState.SKIPPED)
    return case


def sign_in(page, user, to="**/office/today"):
    page.goto(reverse("sign_in"))
    page.fill("input[name=username]", user.username)
    page.fill("input[name=password]", PASSWORD)
    page.press("input[name=password]", "Enter")
    page.wait_for_url(to)


def day_at_the_bench(desk, person):
    """The case numbers in the order in which a technician sees them."""
    page = desk.open(width=820)
    sign_in(page, person, to="**/bench/work")
    rows = page.locator(
        "section:has(h2:text-is('In order')) .case-number, section:has-text('In order') >> .case-number"
    )
    return list(dict.fromkeys(rows.all_inner_texts()))


def test_a_prescription_is_answered_with_the_first_possible_day(desk):
    skilled("arrangement")
    LaboratoryFactory()
    prescriber = ClinicianFactory()
    page = desk.open()
    sign_in(page, ManagerFactory())
    page.goto(reverse("office:new_case"))
    page.select_option("[name=practice]", str(prescriber.practice.pk))
    page.select_option("[name=starts_at]", "tooth_arrangement")
    tomorrow, later = (str(timezone.localdate() + datetime.timedelta(days=days)) for days in (1, 60))
    page.fill("[name=wanted_try_in]", tomorrow)
    page.press("[name=wanted_try_in]", "Tab")
    page.wait_for_selector("#promise:has-text('Not possible'), #promise .due-late")
    page.fill("[name=wanted_try_in]", later)
    page.press("[name=wanted_try_in]", "Tab")
    page.wait_for_selector("#promise:has-text('Yes: the first possible day is')")
    page.fill("[name=patient_code]", "EH-700")
    page.click("button.button-main.button-big")
    page.wait_for_url("**/office/cases/*")
    made = Case.objects.get(patient_code="EH-700")
    assert str(stage(made, StageKind.TRY_IN).due_on) == later
    page.click("text=Can it be back by …?")
    assert "first possible day" in page.inner_text("#promise")


def test_a_manager_asks_proposes_accepts_and_moves(desk):
    manager = ManagerFactory()
    ada = skilled("arrangement", display_name="Ada Bench")
    ben = skilled("arrangement", display_name="Ben Wax")
    cases = [arrangement(days) for days in (5, 6, 20)]
    page = desk.open()
    sign_in(page, manager)

    soon = timezone.localdate() + datetime.timedelta(days=60)
    practice = cases[0].practice.pk
    page.goto(f"{reverse('promise')}?practice={practice}&starts_at=tooth_arrangement&wanted_try_in={soon}")
    assert "Yes: the first possible day is" in page.inner_text("#promise")

    page.goto(reverse("office:plan"))
    page.click("text=Propose a plan")
    page.wait_for_url("**/proposals/*")
    assert page.locator("tr:has-text('Tooth arrangement')").count() == 3
    page.click("text=Accept all")
    page.wait_for_url("**/office/plan")
    assert "3 stages are given out as proposed" in page.inner_text("main")
    first, second, far = (stage(case, StageKind.TOOTH_ARRANGEMENT) for case in cases)
    assert {first.assignee, second.assignee, far.assignee} == {ada, ben}

    person = first.assignee
    other = ben if person == ada else ada
    before = [placement.work.key for placement in bench_order(other, now=timezone.now())]
    seen_before = day_at_the_bench(desk, other)
    assert cases[0].number not in seen_before
    page.check(f"input[name=stage][value='{first.pk}-{first.version}']")
    page.select_option("#id_to", label=str(other))
    last = page.locator("#id_day option").last.get_attribute("value")
    page.select_option("#id_day", last)
    page.click("text=Give out")
    page.wait_for_selector("text=Before it is given out")
    assert f"{cases[0].number}" in page.inner_text("main")
    assert "late: ready" in page.inner_text("main")
    assert stage(cases[0], StageKind.TOOTH_ARRANGEMENT).assignee == person
    page.click("text=Give out all the same")
    page.wait_for_url("**/office/plan")
    moved = stage(cases[0], StageKind.TOOTH_ARRANGEMENT)
    assert moved.assignee == other
    assert str(moved.planned_on) == last
    after = [placement.work.key for placement in bench_order(other, now=timezone.now())]
    assert after == [*before, moved.pk]
    assert day_at_the_bench(desk, other) == [*seen_before, cases[0].number]
    assert cases[0].number not in day_at_the_bench(desk, person)


def test_everything_is_done_by_keyboard_and_without_scripts(desk):
    manager, ada = ManagerFactory(), skilled("arrangement", display_name="Ada Bench")
    case = arrangement(20)
    page = desk.open(width=390, scripts=False)
    sign_in(page, manager)
    page.goto(reverse("office:plan"))
    made = stage(case, StageKind.TOOTH_ARRANGEMENT)
    page.focus(f"input[name=stage][value='{made.pk}-{made.version}']")
    page.keyboard.press("Space")
    page.focus("#id_to")
    page.keyboard.type("Ada")
    page.focus(".bulk button")
    page.keyboard.press("Enter")
    page.wait_for_selector("text=given to Ada Bench")
    assert stage(case, StageKind.TOOTH_ARRANGEMENT).assignee == ada
