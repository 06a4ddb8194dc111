import datetime

import pytest

from labcases.people.actions.sign_in import KEPT_FOR, MOST_FAILURES, WINDOW, begin_sign_in, sign_in_succeeded
from labcases.people.models import SignInCount
from tests.factories.cases import NOW

SECOND = datetime.timedelta(seconds=1)


def tried(times, *, name="ledger", address="192.0.2.1", now=NOW):
    return [begin_sign_in(name=name, address=address, now=now) for _ in range(times)]


@pytest.mark.django_db
def test_the_eleventh_try_for_a_name_waits_until_the_window_is_over():
    for n in range(MOST_FAILURES):
        assert tried(1, address=f"192.0.2.{n}") == [None]
    assert tried(1, address="192.0.2.99") == [NOW + WINDOW]
    assert tried(1, address="192.0.2.99", now=NOW + WINDOW - SECOND) == [NOW + WINDOW]
    assert tried(1, address="192.0.2.99", now=NOW + WINDOW) == [None]


@pytest.mark.django_db
def test_the_eleventh_try_from_an_address_waits_whatever_names_it_tries():
    for n in range(MOST_FAILURES):
        assert tried(1, name=f"person{n}") == [None]
    assert tried(1, name="another") == [NOW + WINDOW]


@pytest.mark.django_db
def test_an_address_that_must_wait_uses_up_no_tries_of_other_peoples_names():
    for n in range(MOST_FAILURES):
        tried(1, name=f"person{n}")
    tried(MOST_FAILURES, name="ledger")
    assert tried(1, name="ledger", address="198.51.100.1") == [None]


@pytest.mark.django_db
def test_success_gives_a_name_all_its_tries_back_and_its_address_only_this_one():
    tried(MOST_FAILURES - 1, name="ledger")
    tried(1, name="gypsum")
    sign_in_succeeded(name="gypsum", address="192.0.2.1")
    assert tried(2, name="sample") == [None, NOW + WINDOW]
    sign_in_succeeded(name="ledger", address="198.51.100.1")
    assert tried(MOST_FAILURES, name="ledger", address="203.0.113.9") == [None] * MOST_FAILURES


@pytest.mark.django_db
@pytest.mark.parametrize("name", ["LEDGER", " ledger ", "Ｌｅｄｇｅｒ"])
def test_a_name_is_the_same_however_it_is_written(name):
    tried(MOST_FAILURES, name=name)
    assert tried(1, name="ledger", address="198.51.100.1") == [NOW + WINDOW]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("2001:db8:1:2::1", "2001:db8:1:2:ffff::9", True),
        ("2001:db8:1:2::1", "2001:db8:1:3::1", False),
        ("::ffff:192.0.2.7", "192.0.2.7", True),
        ("192.0.2.7", "192.0.2.8", False),
        ("", "no address", True),
    ],
)
def test_which_addresses_count_as_one(one, other, same):
    for n in range(MOST_FAILURES):
        tried(1, name=f"person{n}", address=one)
    assert tried(1, name="another", address=other) == [NOW + WINDOW if same else None]


@pytest.mark.django_db
def test_neither_names_nor_addresses_can_be_read_from_the_counts():
    tried(1, name="my password by mistake", address="192.0.2.1")
    assert not [row for row in SignInCount.objects.all() if "password" in row.key or "192" in str(row)[:4]]


@pytest.mark.django_db
def test_counts_of_yesterday_are_pruned():
    tried(3)
    tried(1, name="another", address="198.51.100.1", now=NOW + KEPT_FOR + SECOND)
    assert SignInCount.objects.filter(since=NOW).count() == 0
    assert SignInCount.objects.count() == 2
