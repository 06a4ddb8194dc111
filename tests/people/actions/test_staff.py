import pytest
from django.contrib.auth import authenticate

from labcases.people.actions import staff
from labcases.people.models import Laboratory, Practice, User
from labcases.people.refusals import Conflict, NotAllowed, Refused
from tests.factories.people import (
    ClinicianFactory,
    LaboratoryFactory,
    ManagerFactory,
    PracticeFactory,
    TechnicianFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager():
    return ManagerFactory()


def add(by, **changes):
    given = {"username": "stone", "display_name": "Pia Stone", "role": "technician", "by": by}
    return staff.add_person(**(given | changes))


ACTS = {
    "add a person": lambda by: add(by),
    "change a person": lambda by: staff.change_person(
        TechnicianFactory(), by=by, expected_version=1, display_name="x"
    ),
    "set another's password": lambda by: staff.set_password(
        TechnicianFactory(), password="wax and stone", by=by
    ),
    "add a practice": lambda by: staff.add_practice(code="NEW", name="New", address="", by=by),
    "change a practice": lambda by: staff.change_practice(
        PracticeFactory(), by=by, expected_version=1, name="x"
    ),
    "describe the laboratory": lambda by: staff.describe_laboratory(
        name="x", address="y", by=by, expected_version=1
    ),
}


@pytest.mark.parametrize("act", ACTS.values(), ids=ACTS)
@pytest.mark.parametrize("someone", [TechnicianFactory, ClinicianFactory], ids=["technician", "clinician"])
def test_only_a_manager_changes_people_and_practices(act, someone):
    with pytest.raises(NotAllowed):
        act(someone())


@pytest.mark.parametrize("act", ACTS.values(), ids=ACTS)
def test_a_manager_who_has_left_changes_nothing(act):
    with pytest.raises(NotAllowed):
        act(ManagerFactory(is_active=False))


@pytest.mark.parametrize("act", ACTS.values(), ids=ACTS)
def test_a_manager_may(act, manager):
    act(manager)


def test_a_person_added_signs_in_with_the_password(manager):
    add(manager, password="wax and stone")
    assert authenticate(username="stone", password="wax and stone").display_name == "Pia Stone"
    assert authenticate(username="STONE", password="wax and stone") is not None
    assert authenticate(username="stone", password="wax and stones") is None


def test_a_person_added_without_a_password_cannot_sign_in(manager):
    person = add(manager)
    assert not person.has_usable_password()
    assert authenticate(username="stone", password="") is None


def test_a_clinician_is_added_with_practice_and_licence(manager):
    practice = PracticeFactory()
    person = add(manager, role="clinician", practice=practice, licence_number="L-1")
    kept = User.objects.get(pk=person.pk)
    assert (kept.role, kept.practice, kept.licence_number) == ("clinician", practice, "L-1")


def test_a_name_that_is_taken_is_refused_in_words(manager):
    add(manager)
    with pytest.raises(Refused, match="Stone"):
        add(manager, username="Stone")
    assert User.objects.filter(username__iexact="stone").count() == 1


def test_a_change_moves_the_version_on_and_touches_only_what_was_named(manager):
    person = TechnicianFactory(display_name="Pia", licence_number="old")
    staff.change_person(person, by=manager, expected_version=1, licence_number="new")
    kept = User.objects.get(pk=person.pk)
    assert (kept.display_name, kept.licence_number, kept.version) == ("Pia", "new", 2)


def test_a_change_from_an_old_page_is_a_conflict_and_changes_nothing(manager):
    person = TechnicianFactory(display_name="Pia")
    staff.change_person(person, by=manager, expected_version=1, display_name="Pia Stone")
    with pytest.raises(Conflict, match="changed by somebody else"):
        staff.change_person(person, by=manager, expected_version=1, display_name="Pia Marble")
    assert User.objects.get(pk=person.pk).display_name == "Pia Stone"


def test_who_is_switched_off_can_no_longer_sign_in(manager):
    person = add(manager, password="wax and stone")
    staff.change_person(person, by=manager, expected_version=1, is_active=False)
    assert authenticate(username="stone", password="wax and stone") is None


@pytest.mark.parametrize("change", [{"is_active": False}, {"role": "technician"}])
def test_the_last_manager_stays_one(manager, change):
    ManagerFactory(is_active=False)
    with pytest.raises(Refused, match="at least one"):
        staff.change_person(manager, by=manager, expected_version=1, **change)
    assert User.objects.get(pk=manager.pk).version == 1
    other = ManagerFactory()
    staff.change_person(manager, by=other, expected_version=1, **change)
    assert not User.objects.filter(pk=manager.pk, role="manager", is_active=True).exists()


def test_everybody_sets_their_own_password():
    person = TechnicianFactory()
    staff.set_password(person, password="stone and wax", by=person)
    assert User.objects.get(pk=person.pk).check_password("stone and wax")


def test_a_new_password_ends_the_sessions_of_the_old_one(client):
    person = TechnicianFactory()
    client.force_login(person)
    assert client.get("/", follow=True).context["user"] == person
    staff.set_password(User.objects.get(pk=person.pk), password="stone and wax", by=ManagerFactory())
    assert not client.get("/", follow=True).context["user"].is_authenticated


def test_a_practice_is_changed_by_the_version_that_was_seen(manager):
    practice = staff.add_practice(code="ELM", name="Elm", address="1 Elm Hill", by=manager)
    staff.change_practice(practice, by=manager, expected_version=1, is_active=False)
    with pytest.raises(Conflict, match="Elm"):
        staff.change_practice(practice, by=manager, expected_version=1, name="Oak")
    kept = Practice.objects.get(pk=practice.pk)
    assert (kept.code, kept.name, kept.is_active, kept.version) == ("ELM", "Elm", False, 2)


def test_a_practice_code_that_is_taken_is_refused_in_words(manager):
    PracticeFactory(code="ELM")
    with pytest.raises(Refused, match="elm"):
        staff.add_practice(code="elm", name="Other", address="", by=manager)
    other = PracticeFactory(code="OAK")
    with pytest.raises(Refused, match="Elm"):
        staff.change_practice(other, by=manager, expected_version=1, code="Elm")


def test_the_laboratory_is_named_first_and_then_changed_by_version(manager):
    staff.describe_laboratory(name="Quarry Lane", address="1 Quarry Lane", by=manager, expected_version=1)
    staff.describe_laboratory(name="Quarry", address="1 Quarry Lane", by=manager, expected_version=1)
    with pytest.raises(Conflict):
        staff.describe_laboratory(name="Pit", address="1 Quarry Lane", by=manager, expected_version=1)
    kept = Laboratory.objects.get()
    assert (kept.name, kept.version) == ("Quarry", 2)


def test_naming_a_laboratory_that_somebody_named_meanwhile_is_a_conflict(manager):
    LaboratoryFactory(version=2)
    with pytest.raises(Conflict):
        staff.describe_laboratory(name="Pit", address="x", by=manager, expected_version=1)
