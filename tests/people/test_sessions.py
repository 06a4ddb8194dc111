import pytest
from django.contrib.sessions.backends.base import UpdateError
from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse

from labcases.people.models import Session
from labcases.people.sessions import SessionStore
from tests.factories.people import ManagerFactory

pytestmark = pytest.mark.django_db


def kept_session():
    session = SessionStore()
    session["word"] = "wax"
    session.save()
    return session


def gone(execute, sql, *rest):
    """A database whose server has just been killed."""
    if sql.startswith("UPDATE") and "people_session" in sql:
        raise OperationalError("server closed the connection unexpectedly")
    return execute(sql, *rest)


def test_a_session_that_was_ended_meanwhile_is_not_written_again():
    session = kept_session()
    Session.objects.all().delete()
    with pytest.raises(UpdateError):
        session.save()


def test_a_database_that_fails_is_not_taken_for_a_session_that_was_ended():
    session = kept_session()
    with connection.execute_wrapper(gone), pytest.raises(OperationalError, match="closed the connection"):
        session.save()


def test_whoever_meets_a_database_that_fails_is_told_of_a_fault_of_the_site_not_of_their_own(settings):
    settings.SESSION_SAVE_EVERY_REQUEST = True
    client = Client(raise_request_exception=False)
    client.force_login(ManagerFactory())
    assert client.get(reverse("office:cases")).status_code == 200
    with connection.execute_wrapper(gone):
        answer = client.get(reverse("office:cases"))
    assert answer.status_code == 500
