from decimal import Decimal

import pytest

from labcases.measurements.actions.moulds import import_moulds
from labcases.measurements.models import Mould, MouldList
from labcases.measurements.queries import current_mould_list, earlier_mould_lists, plain_moulds
from labcases.people.refusals import Conflict, NotAllowed
from labcases.prosthodontics import teeth
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.teeth import FaultyMoulds
from tests.factories.cases import NOW
from tests.factories.people import ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db
HEADING = "mould,six_anterior_width,central_width,central_length,posterior_sum\n"
LIST = HEADING + "Pebble 2,46.5,8.5,10.0,32\nPebble 1,44.0,,9.5,30\n"


def imported(text=LIST, *, by=None, expected=None, **more):
    return import_moulds(text=text, by=by or ManagerFactory(), now=NOW, expected=expected, **more)


def test_a_list_is_kept_in_its_order_and_reads_as_it_was_written():
    imported(note="From the cards")
    stored = current_mould_list()
    assert stored.note == "From the cards"
    assert plain_moulds(stored) == (
        teeth.Mould("Pebble 2", Decimal("46.5"), Decimal("8.5"), Decimal(10), Decimal(32)),
        teeth.Mould("Pebble 1", Decimal(44), None, Decimal("9.5"), Decimal(30)),
    )


def test_a_further_list_takes_its_place_and_the_old_one_stays():
    first = imported()
    second = imported(HEADING + "Shell,50,9,11,34\n", expected=first)
    assert current_mould_list() == second
    assert [each.size for each in earlier_mould_lists()] == [2]
    assert Mould.objects.count() == 3


@pytest.mark.parametrize("text", ["", HEADING, "width\n8\n"])
def test_what_is_no_list_leaves_everything_as_it_was(text):
    imported()
    with pytest.raises(InputError):
        imported(text, expected=current_mould_list())
    assert MouldList.objects.count() == 1


def test_one_faulty_line_and_nothing_is_imported():
    with pytest.raises(FaultyMoulds) as refusal:
        imported(LIST + "Pebble 3,460,8.5,10,32\nPebble 4,46,8.5,1e1,32\n")
    assert len(refusal.value.faults) == 2
    assert not MouldList.objects.exists()
    assert not Mould.objects.exists()


def test_who_saw_an_older_list_is_told_who_was_first():
    seen = imported()
    manager = ManagerFactory()
    imported(by=manager, expected=seen)
    with pytest.raises(Conflict) as conflict:
        imported(expected=seen)
    assert conflict.value.who == str(manager)
    assert conflict.value.when == NOW
    assert MouldList.objects.count() == 2


def test_two_first_lists_at_once_become_one():
    imported()
    with pytest.raises(Conflict):
        imported(expected=None)


def test_only_a_manager_imports():
    with pytest.raises(NotAllowed):
        imported(by=TechnicianFactory())
    assert not MouldList.objects.exists()


def test_without_a_list_there_are_no_moulds():
    assert current_mould_list() is None
    assert plain_moulds(None) == ()
