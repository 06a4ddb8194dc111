import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.office.views import upkeep
from tests.factories.post import LetterFactory
from tests.factories.upkeep import BackupFactory, WorkerFactory
from tests.office.desk import as_manager, refused_to_everybody_else

pytestmark = pytest.mark.django_db
HOUR = datetime.timedelta(hours=1)
ALARM = '<strong class="alarm">'


def ask(client, name="office:upkeep"):
    return " ".join(client.get(reverse(name)).content.decode().replace("\xa0", " ").split())


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:upkeep")
    assert refused_to_everybody_else(client, "office:letters")


def test_a_fresh_site_says_what_it_lacks(client):
    as_manager(client)
    text = ask(client)
    assert f"{ALARM}None was ever made" in text
    assert f"{ALARM}Never seen" in text
    assert "No backup was ever made" in ask(client, "office:laboratory")


def test_a_site_in_order_raises_no_alarm(client):
    as_manager(client)
    now = timezone.now()
    BackupFactory(verified_at=now - 20 * HOUR, row_count=1234, size=2_000_000)
    WorkerFactory(seen_at=now)
    text = ask(client)
    assert ALARM not in text
    assert "20 hours old" in text
    assert "At work" in text
    assert "1234" in text


def test_an_old_backup_and_a_silent_worker_stand_in_red_words(client):
    as_manager(client)
    now = timezone.now()
    BackupFactory(verified_at=now - 49 * HOUR)
    BackupFactory(started_at=now, failure="/backups can't be written: No space left on device.")
    WorkerFactory(seen_at=now - HOUR)
    text = ask(client)
    assert f"{ALARM}2 days, 1 hour old" in text
    assert f"{ALARM}Silent for 1 hour" in text
    assert "No space left on device" in text
    assert f"{ALARM}The last verified backup is 2 days, 1 hour old" in ask(client, "office:laboratory")


@pytest.mark.parametrize(
    ("words", "shown"),
    [("up to date", "<dd>Up to date</dd>"), ("does not answer", f"<dd>{ALARM}Does not answer</strong></dd>")],
)
def test_where_a_replica_stands_is_told_where_there_is_one(client, monkeypatch, words, shown):
    as_manager(client)
    assert "Replica" not in ask(client)
    monkeypatch.setattr(upkeep, "has_replica", lambda: True)
    monkeypatch.setattr(upkeep, "replica_standing", lambda now: words)
    assert f"<dt>Replica of the database</dt>{shown}" in ask(client)


@pytest.mark.parametrize("rows", [1, 12])
def test_its_queries_do_not_grow_with_its_rows(client, rows, django_assert_max_num_queries):
    as_manager(client)
    for n in range(rows):
        BackupFactory(day=datetime.date(2026, 1, 1 + n))
        LetterFactory()
    for name in ("office:upkeep", "office:letters"):
        with django_assert_max_num_queries(9):
            client.get(reverse(name))
