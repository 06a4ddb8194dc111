import pytest
from django.urls import reverse

from tests.factories.people import (
    PASSWORD,
    ClinicianFactory,
    ManagerFactory,
    PracticeFactory,
    TechnicianFactory,
)
from tests.office.desk import as_manager, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db


def boxes(person, **changes):
    shown = {
        "display_name": person.display_name,
        "username": person.username,
        "is_active": "on",
        "version": person.version,
    }
    if person.is_clinician:
        shown |= {"practice": person.practice_id, "licence_number": person.licence_number}
    return shown | changes


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:person", TechnicianFactory().pk)


def test_an_unknown_person_is_not_found(client):
    as_manager(client)
    assert client.get(reverse("office:person", args=[10**30])).status_code == 404


def test_a_person_is_changed_and_keeps_the_password(client):
    as_manager(client)
    person = TechnicianFactory()
    post(client, "office:person", person.pk, **boxes(person, display_name="Ode Finch-Hill"))
    person.refresh_from_db()
    assert person.display_name == "Ode Finch-Hill"
    assert person.check_password(PASSWORD)


def test_a_new_password_is_set(client):
    as_manager(client)
    person = TechnicianFactory()
    post(client, "office:person", person.pk, **boxes(person, password="wax knife and lamp"))
    person.refresh_from_db()
    assert person.check_password("wax knife and lamp")


def test_who_leaves_cannot_sign_in_any_more(client):
    as_manager(client)
    person = TechnicianFactory()
    leaving = boxes(person)
    del leaving["is_active"]
    post(client, "office:person", person.pk, **leaving)
    person.refresh_from_db()
    assert not person.is_active
    assert not client.login(username=person.username, password=PASSWORD)


def test_nobody_shuts_the_door_on_themselves(client):
    manager = as_manager(client)
    own = boxes(manager)
    del own["is_active"]
    post(client, "office:person", manager.pk, **own)
    manager.refresh_from_db()
    assert manager.is_active


def test_a_role_is_not_changed_by_typing_it(client):
    as_manager(client)
    person = TechnicianFactory()
    post(client, "office:person", person.pk, **boxes(person, role="manager"))
    person.refresh_from_db()
    assert person.is_technician


def test_a_clinician_moves_to_another_practice(client):
    as_manager(client)
    clinician, practice = ClinicianFactory(), PracticeFactory()
    post(client, "office:person", clinician.pk, **boxes(clinician, practice=practice.pk))
    clinician.refresh_from_db()
    assert clinician.practice == practice


def test_an_old_page_is_a_conflict(client):
    as_manager(client)
    person = TechnicianFactory()
    old = boxes(person, display_name="Second")
    post(client, "office:person", person.pk, **boxes(person, display_name="First"))
    assert post(client, "office:person", person.pk, **old).status_code == 409
    person.refresh_from_db()
    assert person.display_name == "First"


@pytest.mark.parametrize(
    ("kind", "asked"), [(TechnicianFactory, True), (ClinicianFactory, False), (ManagerFactory, False)]
)
def test_only_of_a_technician_it_is_asked_who_may_finish_outside_the_limits(client, kind, asked):
    as_manager(client)
    page = client.get(reverse("office:person", args=[kind().pk])).text
    assert ('name="may_release_outside"' in page) is asked
