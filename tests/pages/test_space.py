"""A full disk: one clear page, what was typed is there to be read, and once there is room all goes on as before."""

import errno
from contextlib import contextmanager

import pytest
from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse

from labcases.pages.space import is_out_of_space
from labcases.people.models import OneTimeKey, Practice, Session
from tests.factories.people import PASSWORD, ManagerFactory

TYPED = "1 Long Lane, " + "Far Away " * 40


@contextmanager
def no_further_page():
    """A SQLite file that may not grow, with the pages used up that were freed inside it before."""
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE filling (text TEXT)")
        pages = cursor.execute("PRAGMA page_count").fetchone()[0]
        cursor.execute(f"PRAGMA max_page_count = {pages}")
        try:
            while _fits(cursor, "x" * 4000):
                pass
            yield
        finally:
            cursor.execute("PRAGMA max_page_count = 1000000")
            cursor.execute("DROP TABLE filling")


def _fits(cursor, text):
    try:
        cursor.execute("INSERT INTO filling VALUES (%s)", [text])
    except OperationalError:
        return False
    return True


def full(*args):
    """What either database's driver says, by what it is told apart."""
    from psycopg import errors

    error = errors.DiskFull("could not extend file: No space left on device")
    if connection.vendor == "sqlite":
        error = connection.Database.OperationalError("database or disk is full")
        error.sqlite_errorcode = 13
    return error


@contextmanager
def refused(*writes):
    def refuse(execute, sql, params, many, context):
        if sql.startswith(writes):
            raise OperationalError("no room") from full()
        return execute(sql, params, many, context)

    with connection.execute_wrapper(refuse):
        yield


@pytest.fixture
def client(transactional_db):
    client = Client(raise_request_exception=False)
    client.force_login(ManagerFactory())
    return client


def send(client, number):
    typed = {"code": f"FULL{number}", "name": "Full House", "address": TYPED, "is_active": "on"}
    return client.post(reverse("office:practice_new"), {**typed, "one_time_key": str(number)})


def test_a_full_disk_saves_nothing_and_keeps_what_was_typed(client):
    """A few rows may find room on pages begun before; the one that does not leaves nothing behind."""
    made = 0
    with no_further_page() if connection.vendor == "sqlite" else refused("INSERT", "UPDATE"):
        while (answer := send(client, made)).status_code == 302 and made < 50:
            made += 1
        text = answer.content.decode()
        assert answer.status_code == 507
        assert "The disk is full, so nothing was saved" in text
        assert TYPED.strip() in text
        assert client.get(reverse("office:practices")).status_code == 200
    assert (Practice.objects.count(), OneTimeKey.objects.count()) == (made, made)
    assert send(client, made).status_code == 302
    assert Practice.objects.get(code=f"FULL{made}").address == TYPED.strip()


def test_signing_in_on_a_full_disk_says_so_and_shows_no_password(client):
    """Its session is written after the page is done, where no page can be asked to catch it."""
    client.logout()
    typed = {"username": ManagerFactory().username, "password": PASSWORD}
    with refused(f'UPDATE "{Session._meta.db_table}"'):
        answer = client.post(reverse("sign_in"), typed)
        assert answer.status_code == 507
        assert PASSWORD not in answer.content.decode()
    assert client.post(reverse("sign_in"), typed).status_code == 302


@pytest.mark.parametrize(
    ("number", "is_full"), [(errno.ENOSPC, True), (errno.EDQUOT, True), (errno.EIO, False)]
)
def test_a_file_that_finds_no_room_is_told_from_other_trouble(number, is_full):
    assert is_out_of_space(OSError(number, "words")) is is_full
    assert is_out_of_space(None) is False


def test_an_error_that_followed_from_a_full_disk_counts_as_one():
    followed = RuntimeError("could not finish")
    followed.__cause__ = OSError(errno.ENOSPC, "words")
    assert is_out_of_space(followed)
