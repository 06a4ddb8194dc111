"""Who may do what, as one table over the roles."""

import pytest
from django.contrib.auth.models import AnonymousUser

from labcases.cases.models import Case, Stage
from labcases.people import access
from tests.factories.people import ClinicianFactory, ManagerFactory, PracticeFactory, TechnicianFactory

CAST = {
    "manager": lambda **kw: ManagerFactory.build(**kw),
    "technician": lambda **kw: TechnicianFactory.build(**kw),
    "technician who releases": lambda **kw: TechnicianFactory.build(may_release_outside=True, **kw),
    "clinician": lambda **kw: ClinicianFactory.build(practice=PracticeFactory.build(), **kw),
}
ALLOWED = {
    access.works_in_laboratory: {"manager", "technician", "technician who releases"},
    access.may_work_at_bench: {"manager", "technician", "technician who releases"},
    access.may_manage: {"manager"},
    access.may_prescribe: {"manager", "clinician"},
    access.may_release_outside: {"manager", "technician who releases"},
}
TABLE = [(rule, name) for rule in ALLOWED for name in CAST]


def test_the_table_names_every_rule_of_the_module():
    rules = {value for name, value in vars(access).items() if callable(value) and name.islower()}
    assert rules == set(ALLOWED)


@pytest.mark.parametrize(("rule", "name"), TABLE, ids=[f"{rule.__name__}-{name}" for rule, name in TABLE])
def test_each_role_may_do_just_what_the_table_says(rule, name):
    assert rule(CAST[name]()) is (name in ALLOWED[rule])


@pytest.mark.parametrize(("rule", "name"), TABLE, ids=[f"{rule.__name__}-{name}" for rule, name in TABLE])
def test_who_has_left_may_do_nothing(rule, name):
    assert rule(CAST[name](is_active=False)) is False


@pytest.mark.django_db
def test_nobody_signed_in_sees_no_case_and_no_stage():
    assert not Case.objects.visible_to(AnonymousUser()).exists()
    assert not Stage.objects.visible_to(AnonymousUser()).exists()
