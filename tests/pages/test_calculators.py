import pytest
from django.urls import reverse

from labcases.prosthodontics.calculators import list_calculators
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("factory", [ManagerFactory, TechnicianFactory, ClinicianFactory])
def test_everyone_who_is_signed_in_finds_every_calculator(client, factory):
    client.force_login(factory())
    page = client.get(reverse("calculators")).content.decode()
    for each in list_calculators():
        assert f'href="{reverse("calculator", args=[each.name])}"' in page
    assert 'href="/calculators" aria-current="page"' in page


def test_nobody_else_does(client):
    assert client.get(reverse("calculators")).status_code == 302
