import io
import sys

import pytest
from django.core.management import CommandError, call_command
from django.db import OperationalError

from labcases.people.management.commands import first_manager
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


@pytest.fixture
def at_a_terminal(typed, monkeypatch):
    def type_in(*texts):
        typed("")
        monkeypatch.setattr(sys.stdin, "isatty", lambda: True)
        answers = iter(texts)
        monkeypatch.setattr(first_manager, "getpass", lambda prompt: next(answers))

    return type_in


@pytest.mark.django_db
def test_at_a_terminal_the_password_is_typed_twice(at_a_terminal):
    at_a_terminal(PASSWORD, PASSWORD)
    call_command("first_manager", "ledger", "Greta Ledger", stdout=io.StringIO())
    assert User.objects.get().check_password(PASSWORD)


@pytest.mark.django_db
def test_a_slip_in_the_second_adds_nobody(at_a_terminal):
    at_a_terminal(PASSWORD, PASSWORD + "x")
    with pytest.raises(CommandError, match="not the same"):
        call_command("first_manager", "ledger", "Greta Ledger")
    assert not User.objects.exists()


@pytest.mark.django_db
def test_without_a_terminal_one_sentence_says_how_to_hand_the_password_over(typed):
    typed("")
    with pytest.raises(CommandError, match="use --password-stdin") as refused:
        call_command("first_manager", "ledger", "Greta Ledger")
    assert refused.value.returncode == 2


def test_before_the_tables_are_made_one_sentence_says_so(typed, monkeypatch):
    def refuse(**_):
        raise OperationalError("no such table: people_user")

    monkeypatch.setattr(first_manager, "add_first_manager", refuse)
    monkeypatch.setattr(first_manager, "validate_password", lambda *_: None)
    typed(PASSWORD)
    with pytest.raises(CommandError, match=r"no such table.* needs manage\.py migrate first"):
        call_command("first_manager", "ledger", "Greta Ledger", "--password-stdin")
