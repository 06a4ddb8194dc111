import io
import sys

import pytest
from django.core.management import CommandError, call_command

from labcases.people.models import User
from tests.factories.people import ManagerFactory

PASSWORD = "a rim of pink wax"


@pytest.fixture
def typed(monkeypatch):
    def type_in(text):
        monkeypatch.setattr(sys, "stdin", io.StringIO(text + "\n"))

    return type_in


@pytest.mark.django_db
def test_the_first_manager_of_a_new_site_can_sign_in(typed, client):
    typed(PASSWORD)
    call_command("first_manager", "ledger", "Greta Ledger", "--password-stdin", stdout=io.StringIO())
    manager = User.objects.get()
    assert (manager.username, manager.display_name, manager.is_manager) == ("ledger", "Greta Ledger", True)
    assert client.login(username="ledger", password=PASSWORD)


@pytest.mark.django_db
def test_a_second_one_is_refused(typed):
    ManagerFactory()
    typed(PASSWORD)
    with pytest.raises(CommandError, match="There is a lab manager already") as refused:
        call_command("first_manager", "second", "Second Manager", "--password-stdin")
    assert refused.value.returncode == 2
    assert not User.objects.filter(username="second").exists()


@pytest.mark.django_db
@pytest.mark.parametrize("password", ["short", "password123", "ledgerledger"])
def test_a_weak_password_is_refused_in_words(typed, password):
    typed(password)
    with pytest.raises(CommandError, match="password"):
        call_command("first_manager", "ledgerledger", "Greta Ledger", "--password-stdin")
    assert not User.objects.exists()
