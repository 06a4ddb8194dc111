import pytest

from labcases.people import queries
from tests.factories.people import (
    ClinicianFactory,
    LaboratoryFactory,
    ManagerFactory,
    PracticeFactory,
    TechnicianFactory,
)

pytestmark = pytest.mark.django_db


def test_before_anybody_named_it_the_laboratory_is_empty_and_unsaved():
    nameless = queries.laboratory()
    assert (nameless.name, nameless.address, nameless._state.adding) == ("", "", True)
    named = LaboratoryFactory()
    assert queries.laboratory() == named


def test_who_has_left_gets_no_work_and_prescribes_nothing():
    here, gone = TechnicianFactory(), TechnicianFactory(is_active=False)
    doctor, retired = ClinicianFactory(), ClinicianFactory(is_active=False)
    assert list(queries.technicians()) == [here]
    assert list(queries.prescribers()) == [doctor]
    assert not {gone, retired} & {*queries.bench_people(), *queries.prescribers()}


def test_technicians_come_before_managers_who_still_work_at_the_bench():
    manager, second, first = (
        ManagerFactory(display_name="Ada"),
        TechnicianFactory(display_name="Zoe"),
        TechnicianFactory(display_name="Bo"),
    )
    ClinicianFactory(display_name="Cy")
    assert list(queries.bench_people()) == [first, second, manager]


def test_an_id_of_a_form_finds_only_people_of_the_bench():
    technician, clinician = TechnicianFactory(), ClinicianFactory()
    assert queries.person_at_bench(str(technician.pk)) == technician
    assert queries.person_at_bench(str(clinician.pk)) is None


@pytest.mark.parametrize("text", ["", "-1", "1.0", "x", "٣", "²", "9" * 10, "9" * 400, " 1", "1\x00"])
def test_what_is_no_id_finds_nobody(text):
    TechnicianFactory()
    assert queries.person_at_bench(text) is None


def test_prescribers_of_a_practice_are_its_own():
    ours = ClinicianFactory()
    theirs = ClinicianFactory()
    assert list(queries.prescribers(ours.practice)) == [ours]
    assert list(queries.prescribers(theirs.practice)) == [theirs]


def test_a_name_is_taken_in_whatever_case_except_by_its_owner():
    person = TechnicianFactory(username="Gypsum")
    assert queries.username_taken("gypsum")
    assert not queries.username_taken("gypsum", besides=person)
    assert not queries.username_taken("gypsu")


def test_a_practice_code_is_taken_in_whatever_case_except_by_its_owner():
    practice = PracticeFactory(code="ELM")
    assert queries.practice_code_taken("elm")
    assert not queries.practice_code_taken("elm", besides=practice)
    assert not queries.practice_code_taken("el")


def test_every_practice_is_listed_the_active_first_with_its_people_counted():
    closed, busy = PracticeFactory(name="A", is_active=False), PracticeFactory(name="B")
    ClinicianFactory.create_batch(2, practice=busy)
    assert [(each, each.people) for each in queries.all_practices()] == [(busy, 2), (closed, 0)]
    assert list(queries.active_practices()) == [busy]


def test_people_are_listed_with_one_query(django_assert_num_queries):
    ClinicianFactory.create_batch(3)
    with django_assert_num_queries(1):
        assert len([str(person.practice) for person in queries.everyone()]) == 3


def test_an_unknown_id_is_nobody():
    assert queries.person_by_id(0) is None
    assert queries.practice_by_id(0) is None
