import pytest
from django.urls import reverse

from tests.factories.people import ClinicianFactory, PracticeFactory
from tests.office.desk import as_manager, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db


def boxes(practice, **changes):
    shown = {"code": practice.code, "name": practice.name, "address": practice.address, "is_active": "on"}
    return shown | {"version": practice.version} | changes


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:practice", PracticeFactory().pk)


def test_an_unknown_practice_is_not_found(client):
    as_manager(client)
    assert client.get(reverse("office:practice", args=[10**30])).status_code == 404


def test_a_practice_is_changed_and_names_its_clinicians(client):
    as_manager(client)
    clinician = ClinicianFactory()
    practice = clinician.practice
    post(client, "office:practice", practice.pk, **boxes(practice, address="9 New Road"))
    practice.refresh_from_db()
    assert practice.address == "9 New Road"
    content = client.get(reverse("office:practice", args=[practice.pk])).content.decode()
    assert clinician.display_name in content


def test_one_that_sends_no_more_work_is_kept_out_of_new_prescriptions(client):
    as_manager(client)
    practice = PracticeFactory(name="Old Mill")
    closed = boxes(practice)
    del closed["is_active"]
    post(client, "office:practice", practice.pk, **closed)
    client.get(reverse("office:practices"))  # the message that names it is read
    assert "Old Mill" not in client.get(reverse("office:new_case")).content.decode()


def test_an_old_page_is_a_conflict(client):
    as_manager(client)
    practice = PracticeFactory()
    old = boxes(practice, name="Second")
    post(client, "office:practice", practice.pk, **boxes(practice, name="First"))
    assert post(client, "office:practice", practice.pk, **old).status_code == 409
    practice.refresh_from_db()
    assert practice.name == "First"
