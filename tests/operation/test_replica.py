"""Which reads go to a replica, when none do, and that a page is there whatever becomes of the replica."""

import pytest
from django.core.exceptions import MiddlewareNotUsed, PermissionDenied
from django.db import OperationalError, connection, connections, router, transaction
from django.http import HttpResponse
from django.urls import reverse
from django.utils import timezone

from labcases.cases.models import Case
from labcases.operation import replica
from labcases.operation.replica import ListsFromReplica, Router
from labcases.people.models import User
from labcases.upkeep import queries
from labcases.upkeep.actions.writes import note_write
from labcases.upkeep.models import LastWrite
from labcases.upkeep.queries import last_write_and_end
from labcases.upkeep.rules import MOST_BEHIND, Distance, standing_in_words
from tests.factories.people import PASSWORD, TechnicianFactory

LIST, OTHER = "bench:work", "bench:sheet"


@pytest.fixture(autouse=True)
def routed(monkeypatch):
    monkeypatch.setattr(router, "routers", [Router()])


class Servers:
    """A primary and a replica, by what they say of their logs and of whether they answer."""

    last_write, end, replayed, now = 0, 100, 100, 1000.0
    left = 0

    def answer(self):
        if isinstance(self.replayed, Exception):
            raise self.replayed
        return self.replayed

    def close(self):
        self.left += 1


@pytest.fixture
def servers(monkeypatch):
    told = Servers()
    monkeypatch.setattr(replica, "has_replica", lambda: True)
    monkeypatch.setattr(replica, "last_write_and_end", lambda user: (told.last_write, told.end))
    monkeypatch.setattr(replica, "replayed", told.answer)
    monkeypatch.setattr(replica.time, "monotonic", lambda: told.now)
    monkeypatch.setattr(replica, "connections", {"default": connection, "replica": told})
    return told


@pytest.fixture
def asked_of(servers, rf):
    """Asks for a page and tells which databases its reads went to, one after the other."""
    middleware = ListsFromReplica(lambda request: HttpResponse())

    def ask(name=LIST, *, method="GET", view=None):
        read, request = [], rf.generic(method, "/")
        request.user = User(pk=7)
        request.resolver_match = type("Match", (), {"view_name": name})

        def page(request):
            read.append(router.db_for_read(Case))
            return view(read[-1]) if view else HttpResponse(read[-1])

        if middleware.process_view(request, page, (), {}) is None:
            page(request)
        return read

    return ask


def test_a_list_is_read_from_the_replica(asked_of):
    assert asked_of() == ["replica"]
    assert router.db_for_read(Case) == "default"


@pytest.mark.parametrize(("name", "method"), [(OTHER, "GET"), (LIST, "POST"), (None, "GET")])
def test_other_pages_and_all_that_writes_are_read_from_the_primary(asked_of, name, method):
    assert asked_of(name, method=method) == ["default"]


def test_every_list_is_a_page_of_the_site():
    for name in ListsFromReplica.LISTS - {"office:export"}:
        assert reverse(name)
    assert reverse("office:export", args=["csv"])


def test_a_list_waits_for_what_its_reader_wrote(asked_of, servers):
    assert asked_of() == ["replica"]
    servers.last_write = servers.end = 101
    assert asked_of() == ["default"]
    servers.replayed = 101
    assert asked_of() == ["replica"]


def test_what_others_wrote_may_be_missing_for_a_while_and_no_longer(asked_of, servers):
    assert asked_of() == ["replica"]
    servers.end = 200
    servers.now += MOST_BEHIND
    assert asked_of() == ["replica"]
    servers.now += 0.1
    assert asked_of() == ["default"]
    servers.replayed = 200
    assert asked_of() == ["replica"]


@pytest.mark.parametrize("says", [OperationalError("gone"), None], ids=["away", "no replica"])
def test_a_replica_of_no_use_is_left_alone_for_a_while(asked_of, servers, says, caplog):
    servers.replayed = says
    assert asked_of() == ["default"]
    assert (servers.left, len(caplog.records)) == (1, 1)
    servers.replayed = 100
    assert asked_of() == ["default"]
    servers.now += replica.AWAY_SECONDS
    assert asked_of() == ["replica"]


def test_a_replica_that_ends_in_the_middle_of_a_list_costs_the_reader_nothing(asked_of, servers):
    def ends(database):
        if database == "replica":
            raise OperationalError("terminating connection")
        return HttpResponse()

    assert asked_of(view=ends) == ["replica", "default"]
    assert servers.left == 1
    assert asked_of() == ["default"]


def test_a_refusal_is_the_primary_s_to_give(asked_of, servers):
    def refuse(database):
        raise PermissionDenied(database)

    with pytest.raises(PermissionDenied, match="default"):
        asked_of(view=refuse)
    assert servers.left == 0
    assert asked_of() == ["replica"]


@pytest.mark.django_db
def test_inside_a_transaction_everything_is_read_from_the_primary(asked_of):
    def in_transaction(_):
        with transaction.atomic():
            return HttpResponse(router.db_for_read(Case))

    assert connection.in_atomic_block
    assert asked_of(view=in_transaction) == ["default"]


def test_rows_of_the_replica_are_written_to_the_primary_and_join_its_rows():
    here, there, elsewhere = Case(), Case(), Case()
    here._state.db, there._state.db, elsewhere._state.db = "default", "replica", "other"
    assert router.db_for_write(Case, instance=there) == "default"
    assert router.allow_relation(here, there)
    assert router.db_for_write(Case, instance=elsewhere) == "other"
    assert router.db_for_read(Case, instance=elsewhere) == "other"
    assert not router.allow_relation(here, elsewhere)
    assert (router.allow_migrate("replica", "cases"), router.allow_migrate("default", "cases")) == (
        False,
        True,
    )


def test_a_site_without_a_replica_has_neither(settings):
    assert settings.DATABASE_ROUTERS == []
    assert "replica" not in connections
    with pytest.raises(MiddlewareNotUsed):
        ListsFromReplica(lambda request: HttpResponse())


@pytest.mark.django_db
def test_what_a_person_wrote_is_noted_before_the_answer(client, servers, monkeypatch):
    noted = []
    monkeypatch.setattr(replica, "note_write", lambda *, by: noted.append(by))
    person = TechnicianFactory()
    form = {"username": person.username, "password": "wrong"}
    client.post(reverse("sign_in"), form)
    assert noted == []
    client.post(reverse("sign_in"), {**form, "password": PASSWORD})
    assert noted == [person]
    client.get(reverse(LIST))
    client.post(reverse("bench:start", args=[404]))
    assert noted == [person]


@pytest.mark.django_db
@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has no log that a replica follows")
def test_the_noted_position_never_goes_back():
    person = TechnicianFactory()
    assert last_write_and_end(person)[0] == 0
    note_write(by=person)
    first, end = last_write_and_end(person)
    assert 0 < first <= end
    LastWrite.objects.update(position=2**60)
    note_write(by=person)
    assert last_write_and_end(person)[0] == 2**60


def test_a_replica_cut_off_from_a_primary_that_goes_on_is_ever_further_behind():
    distance = Distance()
    assert distance.seconds(end=100, replayed=90, now=0.0) == float("inf")
    assert distance.seconds(end=120, replayed=99, now=5.0) == float("inf")
    assert distance.seconds(end=150, replayed=100, now=7.0) == 7.0
    assert distance.seconds(end=200, replayed=149, now=8.0) == 8.0
    assert distance.seconds(end=200, replayed=150, now=9.0) == 2.0
    assert distance.seconds(end=200, replayed=200, now=10.0) == 0.0
    assert distance.seconds(end=200, replayed=200, now=90.0) == 0.0
    assert distance.seconds(end=201, replayed=200, now=91.0) == 1.0


@pytest.mark.parametrize(
    ("behind", "words"), [(None, "is no replica"), (0, "up to date"), (-24, "up to date")]
)
def test_where_a_replica_stands_is_told_in_words(behind, words):
    assert standing_in_words(behind, seconds=3600.0) == words


def test_a_distance_is_told_in_bytes_and_seconds():
    assert standing_in_words(512, seconds=2.4) == "512 bytes and 2 seconds behind"


@pytest.mark.django_db
@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has no log that a replica follows")
def test_a_replica_that_does_not_answer_is_told_so(monkeypatch):
    def gone(*asked):
        raise OperationalError("connection to server at 10.1.2.3, user lab, failed")

    monkeypatch.setattr(queries, "_of_replica", gone)
    assert queries.replica_standing(now=timezone.now()) == "does not answer"


@pytest.mark.django_db
@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has no log that a replica follows")
def test_a_server_that_follows_nobody_is_told_to_be_no_replica(monkeypatch):
    monkeypatch.setattr(queries, "REPLICA", "default")
    TechnicianFactory()
    assert queries.replayed() is None
    assert queries.replica_standing(now=timezone.now()) == "is no replica"
