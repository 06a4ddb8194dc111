import pytest

from labcases.people.actions.lists import use_keys
from tests.factories.people import ManagerFactory

pytestmark = pytest.mark.django_db


def test_keys_are_switched_on_and_off_for_oneself_alone():
    manager, other = ManagerFactory(uses_keys=True), ManagerFactory(uses_keys=True)
    use_keys(on=False, by=manager)
    for each in (manager, other):
        each.refresh_from_db()
    assert (manager.uses_keys, other.uses_keys) == (False, True)
    use_keys(on=True, by=manager)
    manager.refresh_from_db()
    assert manager.uses_keys
