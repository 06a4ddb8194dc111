"""What the database itself refuses."""

import pytest
from django.db import IntegrityError, transaction

from labcases.people.models import Laboratory, User
from tests.factories.people import (
    ClinicianFactory,
    LaboratoryFactory,
    OneTimeKeyFactory,
    PracticeFactory,
    TechnicianFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db


def refused_for(constraint, make):
    """The database refuses what `make` writes, by this constraint (SQLite names only those that check a row)."""
    with pytest.raises(IntegrityError) as refusal, transaction.atomic():
        make()
    words = str(refusal.value)
    assert constraint in words or "UNIQUE constraint failed" in words, words


def test_there_is_one_laboratory():
    LaboratoryFactory()
    refused_for("there_is_one_laboratory", lambda: Laboratory.objects.create(pk=2, name="Other", address="x"))
    assert Laboratory.objects.count() == 1


def test_a_clinician_belongs_to_a_practice():
    refused_for(
        "a_clinician_and_only_a_clinician_belongs_to_a_practice", lambda: ClinicianFactory(practice=None)
    )
    assert ClinicianFactory().practice_id


@pytest.mark.parametrize("role", ["technician", "manager"])
def test_nobody_else_belongs_to_a_practice(role):
    practice = PracticeFactory()
    refused_for(
        "a_clinician_and_only_a_clinician_belongs_to_a_practice",
        lambda: UserFactory(role=role, practice=practice),
    )
    assert UserFactory(role=role).practice_id is None


def test_a_role_is_a_known_one():
    with pytest.raises(IntegrityError), transaction.atomic():
        UserFactory(role="visitor")


def test_a_practice_code_is_given_once():
    PracticeFactory(code="ELM")
    refused_for("code", lambda: PracticeFactory(code="ELM"))


@pytest.mark.parametrize("other", ["Gypsum", "GYPSUM", "gypsuM"])
def test_two_people_never_sign_in_by_the_same_name_however_it_is_written(other):
    TechnicianFactory(username="gypsum")
    refused_for("a_sign_in_name_is_given_once", lambda: TechnicianFactory(username=other))


def test_a_practice_code_is_given_once_however_it_is_written():
    PracticeFactory(code="ELM")
    refused_for("a_practice_code_is_given_once", lambda: PracticeFactory(code="elm"))


def test_a_name_is_found_however_it_is_written():
    person = TechnicianFactory(username="Gypsum")
    assert User.objects.get_by_natural_key("gYPSUM") == person


def test_a_key_is_used_once():
    OneTimeKeyFactory(key="a" * 64)
    refused_for("key", lambda: OneTimeKeyFactory(key="a" * 64))


def test_a_practice_that_still_has_clinicians_cannot_be_taken_out():
    from django.db.models import ProtectedError

    clinician = ClinicianFactory()
    with pytest.raises(ProtectedError):
        clinician.practice.delete()
