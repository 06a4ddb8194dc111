"""Neither database lets a record be changed or deleted, whoever asks; an erasure by law is the one exception."""

import pytest
from django.db import IntegrityError, connection, transaction

from labcases.cases.chain import ERASED, masked
from labcases.cases.models import Disinfection, Event, Return
from labcases.measurements.models import (
    LabStandard,
    Norm,
    PrescribedDimension,
    Reading,
    Specification,
    SpecificationLine,
)
from labcases.tickets.models import WorkTicket
from tests.factories.measurements import NormFactory
from tests.records.told import told_case
from tests.tools.triggers import triggers_down, triggers_in

pytestmark = pytest.mark.django_db
NEVER_CHANGED = (
    Event,
    Return,
    Disinfection,
    LabStandard,
    Norm,
    Specification,
    SpecificationLine,
    PrescribedDimension,
    Reading,
    WorkTicket,
)


@pytest.fixture
def case():
    NormFactory()
    return told_case()


def refused(act):
    with pytest.raises(IntegrityError, match="rows are added, never changed"), transaction.atomic():
        act()


def test_a_record_is_neither_changed_nor_deleted(case):
    for model in NEVER_CHANGED:
        rows = model._base_manager.all()
        assert rows.exists(), model
        column = model._meta.concrete_fields[1].attname
        refused(lambda rows=rows, column=column: rows.update(**{column: rows.values(column)[:1]}))
        refused(lambda rows=rows: rows._raw_delete(rows.db))


def test_a_table_of_records_is_not_emptied_at_once(case):
    if connection.vendor != "postgresql":
        pytest.skip("SQLite knows no TRUNCATE: emptying a table is deleting its rows")
    connection.check_constraints()
    with connection.cursor() as cursor:
        refused(lambda: cursor.execute("TRUNCATE measurements_reading CASCADE"))


def test_every_table_of_records_still_has_its_guards():
    """On SQLite a migration that alters a table leaves its triggers behind; it has to make them again."""
    each = ["not_deleted", "not_updated"] if connection.vendor == "sqlite" else None
    each = each or ["not_deleted", "not_emptied", "not_updated"]
    tables = [model._meta.db_table for model in NEVER_CHANGED]
    assert triggers_in(connection) == {table: [f"{table}_{what}" for what in each] for table in tables}


def personal(case):
    return case.events.get(act="prescription_changed")


def erasing(event, **more):
    values = {
        "before": masked(event.before, salt=event.salt, where="before"),
        "after": masked(event.after, salt=event.salt, where="after"),
        "salt": "",
    }
    return Event.objects.filter(pk=event.pk).update(**values | more)


def test_an_erasure_takes_what_an_entry_says_of_the_patient_and_nothing_else(case):
    event = personal(case)
    refused(lambda: erasing(event, reason="Another"))
    refused(lambda: erasing(event, at=event.at.replace(year=2025)))
    refused(lambda: erasing(event, salt="0"))
    refused(lambda: erasing(event, after={**event.after, "shade": "Another"}))
    refused(lambda: Event.objects.filter(pk=event.pk).update(after={**event.after, "notes": "Another"}))
    assert erasing(event) == 1
    event.refresh_from_db()
    assert set(event.after["notes"]) == {ERASED}
    refused(lambda: erasing(event, salt="0"))


def test_an_erasure_takes_the_words_about_a_return_and_nothing_else(case):
    erased, back = f"erased {'0' * 64}", Return.objects.filter(case=case)
    refused(lambda: back.update(note="Another"))
    refused(lambda: back.update(note=""))
    refused(lambda: back.update(note=erased, cause="other"))
    assert back.update(note=erased) == 1
    refused(lambda: back.update(note=erased.replace("0", "1")))
    event, finished = (
        case.events.get(act="sent_back"),
        case.events.filter(act="finished").exclude(salt="").first(),
    )
    refused(lambda: erasing(event, reason="Another"))
    refused(lambda: erasing(finished, reason=erased))
    assert erasing(event, reason=erased) == 1


def test_an_erasure_takes_the_bytes_of_a_paper_with_their_digests_and_nothing_else(case):
    papers = WorkTicket.objects.filter(stage__case=case)
    refused(lambda: papers.update(sha256="0" * 64))
    refused(lambda: papers.update(pdf=b"another paper"))
    refused(lambda: papers.update(pdf=b"", pages=9))
    assert papers.update(pdf=b"", sha256="0" * 64, facts_digest="1" * 64) == 1
    refused(lambda: papers.update(pdf=b"another paper"))
    refused(lambda: papers.update(sha256="2" * 64))


def test_the_guards_are_there_again_after_a_test_took_them_down():
    before = triggers_in(connection)
    with triggers_down():
        assert connection.vendor == "postgresql" or triggers_in(connection) == {}
    assert triggers_in(connection) == before
