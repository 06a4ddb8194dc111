import datetime

import pytest
from django.db import OperationalError
from django.urls import reverse
from django.utils import timezone

from labcases.pages import health
from tests.factories.upkeep import WorkerFactory

pytestmark = pytest.mark.django_db
WELL = {
    "ready": True,
    "database": "answers",
    "migrations": "applied",
    "worker": "never seen",
    "disk": "enough",
}


@pytest.fixture(autouse=True)
def asked_anew(monkeypatch):
    health._migrations_are_applied.cache_clear()
    monkeypatch.setattr(health, "free_bytes", lambda: 2 * 1024**3)
    yield
    health._migrations_are_applied.cache_clear()


def ask(client):
    answer = client.get(reverse("ready"))
    return answer.status_code, answer.json()


def test_a_site_in_order_is_ready_and_names_no_version(client):
    assert ask(client) == (200, WELL)


def test_migrations_are_looked_at_only_until_they_are_applied(client, django_assert_num_queries):
    ask(client)
    with django_assert_num_queries(1):
        ask(client)


def test_a_missing_migration_is_told_and_looked_for_again(client, monkeypatch):
    monkeypatch.setattr(health, "migrations_missing", lambda: True)
    missing = {**WELL, "ready": False, "migrations": "missing", "worker": "unknown"}
    assert ask(client) == (503, missing)
    monkeypatch.setattr(health, "migrations_missing", lambda: False)
    assert ask(client) == (200, WELL)


def test_a_database_that_does_not_answer_is_told_in_plain_words(client, monkeypatch):
    def gone():
        raise OperationalError("connection to server at 10.1.2.3, user lab, failed")

    monkeypatch.setattr(health, "worker_seen_at", gone)
    status, told = ask(client)
    assert (status, told["ready"], told["database"]) == (503, False, "does not answer")
    assert "10.1.2.3" not in str(told)


@pytest.mark.parametrize(
    ("seconds", "words"), [(8, "last seen 8 seconds ago"), (300, "silent, last seen 300 seconds ago")]
)
def test_the_worker_s_last_sign_of_life_is_told(client, seconds, words, monkeypatch):
    now = timezone.now()
    monkeypatch.setattr(health.timezone, "now", lambda: now)
    WorkerFactory(seen_at=now - datetime.timedelta(seconds=seconds))
    assert ask(client) == (200, {**WELL, "worker": words})


@pytest.mark.parametrize(("free", "word", "status"), [(500 * 1024**2, "little", 200), (1024, "none", 503)])
def test_a_disk_that_fills_up_is_told_before_it_is_full(client, free, word, status, monkeypatch):
    monkeypatch.setattr(health, "free_bytes", lambda: free)
    assert ask(client) == (status, {**WELL, "disk": word, "ready": status == 200})


@pytest.mark.parametrize("words", ["up to date", "512 bytes and 2 seconds behind", "does not answer"])
def test_where_a_replica_stands_is_told_and_leaves_the_site_ready(client, monkeypatch, words):
    monkeypatch.setattr(health, "has_replica", lambda: True)
    monkeypatch.setattr(health, "replica_standing", lambda now: words)
    assert ask(client) == (200, {**WELL, "replica": words})


def test_a_watcher_on_loopback_is_not_led_to_tls(client, settings):
    settings.SECURE_SSL_REDIRECT = True
    assert client.get(reverse("ready")).status_code == 200
    assert client.get(reverse("sign_in")).status_code == 301
