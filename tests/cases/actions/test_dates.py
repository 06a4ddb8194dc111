import datetime

import pytest

from labcases.cases.actions.dates import set_dates
from labcases.people.refusals import Conflict
from tests.factories.cases import NOW, taken_in_case

pytestmark = pytest.mark.django_db

DAY = NOW.date() + datetime.timedelta(days=30)


def test_days_set_from_a_page_loaded_before_somebody_else_set_them_are_a_conflict():
    case = taken_in_case()
    seen = case.version
    by = case.prescriber
    set_dates(case=case, dates={"try_in": DAY}, by=by, now=NOW, expected_version=seen)
    with pytest.raises(Conflict):
        set_dates(case=case, dates={"try_in": None}, by=by, now=NOW, expected_version=seen)
    assert case.stages.get(kind="try_in").due_on == DAY


def test_days_set_without_a_page_need_no_version():
    case = taken_in_case()
    set_dates(case=case, dates={"try_in": DAY}, by=case.prescriber, now=NOW)
    set_dates(case=case, dates={"try_in": None}, by=case.prescriber, now=NOW)
    assert case.stages.get(kind="try_in").due_on is None
