"""The laboratory's own figures: dated, never overwritten, changed only as they were seen."""

import datetime
from decimal import Decimal

import pytest

from labcases.measurements.models import LabStandard
from labcases.measurements.queries import lab_standards
from labcases.measurements.standards import plain_standard, stored_standard
from labcases.people.refusals import Conflict, NotAllowed, Refused
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.standard import HOUSE_STANDARD
from tests.factories.cases import NOW
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory
from tests.measurements.bench import HEIGHT, RIMS, norm, standardise

pytestmark = pytest.mark.django_db

TODAY = NOW.date()
DAY = datetime.timedelta(days=1)
UPPER_HEIGHT = (RIMS, "maxillary", HEIGHT)


@pytest.fixture
def manager():
    return ManagerFactory()


def target(on):
    return plain_standard(stored_standard(on)).norm(*UPPER_HEIGHT).target


def test_the_delivered_standard_holds_until_there_is_an_own_one():
    assert stored_standard(TODAY) is None
    assert plain_standard(None) == HOUSE_STANDARD


def test_an_own_figure_replaces_the_delivered_one_and_leaves_the_others(manager):
    standardise(norm(HEIGHT, Decimal(23), Decimal("0.5"), Decimal("0.8")), by=manager)
    own = plain_standard(stored_standard(TODAY))
    found = own.norm(*UPPER_HEIGHT)
    assert (found.target, found.minus, found.plus) == (23, Decimal("0.5"), Decimal("0.8"))
    assert found.source.words.startswith("this laboratory's standard of 02 Mar 2026")
    assert own.words == "lab standard of 2 March 2026"
    others = [each for each in own.norms if each.key != UPPER_HEIGHT]
    assert others == [each for each in HOUSE_STANDARD.norms if each.key != UPPER_HEIGHT]


def test_each_day_has_the_standard_that_had_begun_by_then(manager):
    first = standardise(norm(HEIGHT, 21), by=manager)
    standardise(norm(HEIGHT, 24), by=manager, valid_from=TODAY + 10 * DAY, expected=first)
    assert target(TODAY - DAY) == 22
    assert target(TODAY) == target(TODAY + 9 * DAY) == 21
    assert target(TODAY + 10 * DAY) == 24


def test_of_two_standards_of_one_day_the_later_made_holds(manager):
    first = standardise(norm(HEIGHT, 21), by=manager)
    standardise(norm(HEIGHT, 24), by=manager, now=NOW + datetime.timedelta(hours=1), expected=first)
    assert target(TODAY) == 24
    assert LabStandard.objects.count() == 2


def test_the_choice_between_schools_is_kept_with_its_day(manager):
    standardise(by=manager, pad_level="half", conformity_rule="guard_band")
    schools = plain_standard(stored_standard(TODAY)).schools
    assert (schools.pad_level, schools.conformity_rule) == ("half", "guard_band")
    assert plain_standard(stored_standard(TODAY - DAY)).schools == HOUSE_STANDARD.schools


@pytest.mark.parametrize("school", [{"pad_level": "three_quarters"}, {"moon": "full"}])
def test_a_school_that_is_not_offered_is_refused(manager, school):
    with pytest.raises(InputError):
        standardise(by=manager, **school)
    assert not LabStandard.objects.exists()


def test_only_a_manager_writes_it():
    for someone in (TechnicianFactory(), ClinicianFactory()):
        with pytest.raises(NotAllowed):
            standardise(by=someone)


def test_it_never_holds_for_a_day_that_has_gone_by(manager):
    with pytest.raises(Refused, match="today or later"):
        standardise(by=manager, valid_from=TODAY - DAY)
    assert standardise(by=manager, valid_from=TODAY).valid_from == TODAY


def test_one_that_somebody_changed_meanwhile_is_a_conflict(manager):
    first = standardise(norm(HEIGHT, 21), by=manager, expected=None)
    with pytest.raises(Conflict):
        standardise(norm(HEIGHT, 24), by=manager, expected=None)
    standardise(norm(HEIGHT, 24), by=manager, expected=first)
    assert target(TODAY) == 24


def test_all_standards_are_listed_the_one_that_holds_latest_first(manager, django_assert_num_queries):
    first = standardise(norm(HEIGHT, 21), by=manager)
    second = standardise(norm(HEIGHT, 24), by=manager, valid_from=TODAY + DAY, expected=first)
    with django_assert_num_queries(2):
        listed = lab_standards()
        figures = [[each.target for each in standard.norms.all()] for standard in listed]
        people = {str(standard.made_by) for standard in listed}
    assert (listed, figures, people) == ([second, first], [[24], [21]], {str(manager)})
