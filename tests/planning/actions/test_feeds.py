import pytest

from labcases.people.refusals import NotAllowed
from labcases.planning.actions.feeds import make_feed, revoke_feed
from labcases.planning.models import CalendarFeed
from tests.factories.people import ClinicianFactory, ManagerFactory, PracticeFactory, TechnicianFactory
from tests.planning.laboratory import NOW

pytestmark = pytest.mark.django_db


def test_addresses_are_long_and_never_the_same():
    person = TechnicianFactory()
    tokens = {make_feed(of=person, by=person, now=NOW).token for _ in range(20)}
    assert len(tokens) == 20
    assert min(len(token) for token in tokens) >= 43
    assert CalendarFeed.objects.filter(revoked_at__isnull=True).count() == 1


def test_owners_and_managers_make_and_revoke():
    person, clinician, manager = TechnicianFactory(), ClinicianFactory(), ManagerFactory()
    make_feed(of=person, by=manager, now=NOW)
    make_feed(of=clinician.practice, by=clinician, now=NOW)
    assert revoke_feed(of=person, by=person, now=NOW) == 1
    assert revoke_feed(of=clinician.practice, by=manager, now=NOW) == 1
    assert revoke_feed(of=person, by=person, now=NOW) == 0


def test_nobody_makes_an_address_for_others():
    person, clinician = TechnicianFactory(), ClinicianFactory()
    for of, by in (
        (TechnicianFactory(), person),
        (PracticeFactory(), clinician),
        (clinician.practice, person),
        (person, clinician),
        (clinician, ManagerFactory()),
    ):
        with pytest.raises(NotAllowed):
            make_feed(of=of, by=by, now=NOW)
        with pytest.raises(NotAllowed):
            revoke_feed(of=of, by=by, now=NOW)
    assert not CalendarFeed.objects.exists()
