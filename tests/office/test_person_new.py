import pytest
from django.urls import reverse

from labcases.people.queries import everyone
from tests.factories.people import PASSWORD, PracticeFactory, TechnicianFactory
from tests.office.desk import as_manager, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db
TECHNICIAN = {"display_name": "Ode Finch", "username": "ode", "role": "technician", "password": PASSWORD}


def added(username="ode"):
    return next(person for person in everyone() if person.username == username)


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:person_new")


def test_a_new_technician_can_sign_in(client):
    as_manager(client)
    response = post(client, "office:person_new", **TECHNICIAN, may_release_outside="on")
    assert response["Location"] == reverse("office:people")
    assert added().check_password(PASSWORD)
    assert added().may_release_outside


def test_a_clinician_without_a_password_cannot_sign_in_but_can_prescribe(client):
    as_manager(client)
    practice = PracticeFactory()
    changes = {"role": "clinician", "practice": practice.pk, "licence_number": "LIC-1", "password": ""}
    post(client, "office:person_new", **(TECHNICIAN | changes))
    assert (added().practice, added().licence_number) == (practice, "LIC-1")
    assert not added().has_usable_password()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"role": "clinician"}, "A clinician belongs to a practice"),
        ({"practice": "one"}, "Only a clinician belongs to a practice"),
        ({"username": "TAKEN"}, "Somebody else has this user name"),
        ({"password": "short"}, "too short"),
        ({"password": "password1234"}, "too common"),
        ({"display_name": ""}, "required"),
        ({"role": "owner"}, "valid choice"),
    ],
)
def test_what_cannot_be_is_refused(client, changes, words):
    as_manager(client)
    TechnicianFactory(username="taken")
    if "practice" in changes:
        changes = {"practice": PracticeFactory().pk}
    before = everyone().count()
    response = post(client, "office:person_new", **(TECHNICIAN | changes))
    assert response.status_code == 422
    assert words in response.content.decode()
    assert everyone().count() == before


def test_a_refused_password_is_never_shown_again(client):
    as_manager(client)
    typed = TECHNICIAN | {"password": "hedgehog7", "display_name": ""}
    assert "hedgehog7" not in post(client, "office:person_new", **typed).content.decode()
