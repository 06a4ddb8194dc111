"""Whoever has the database in hand can alter a record, but not without `verify_records` saying where."""

import datetime
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import Error, models, transaction

from labcases.cases.chain import Head, entry_digest, seal
from labcases.cases.models import Case, Event
from labcases.records.checking import check, check_cases
from labcases.records.queries import SEALED
from tests.factories.cases import NOW
from tests.factories.measurements import LabStandardFactory
from tests.records.told import printed, told_case
from tests.tools.triggers import triggers_down

pytestmark = pytest.mark.django_db
PRESCRIPTION = (
    "patient_code",
    "patient_age",
    "notes",
    "shade",
    "work_description",
    "base_material",
    "kind",
    "arches",
)
EMPTIED = (models.CharField, models.TextField, models.JSONField, models.BinaryField)


@pytest.fixture
def case():
    told = told_case()
    LabStandardFactory()
    return told


def said(*arguments):
    told, code = StringIO(), 0
    try:
        call_command("verify_records", *arguments, stdout=told)
    except CommandError as error:
        code = error.returncode
    return told.getvalue().splitlines(), code


def test_an_untouched_case_holds(case):
    checked = check(case)
    assert (checked.broken, checked.entries) == ("", case.events.count())
    assert checked.rows == sum(model._base_manager.filter(**{path: case}).count() for model, path in SEALED)
    assert all(model._base_manager.filter(**{path: case}).exists() for model, path in SEALED)


def test_every_entry_is_numbered_and_carries_its_predecessor(case):
    previous, events = "", list(case.events.order_by("position"))
    assert [event.position for event in events] == list(range(1, len(events) + 1))
    for event in events:
        assert event.digest == entry_digest(event, number=case.number, previous=previous)
        previous = event.digest
    assert (case.log_length, case.log_digest) == (len(events), previous)


def test_every_column_of_an_entry_is_in_its_digest_or_is_what_it_is_made_with():
    sealed = {"case", "position", "act", "stage", "by", "at", "before", "after", "reason", "covers"}
    assert {field.name for field in Event._meta.concrete_fields} == sealed | {"id", "salt", "digest"}


def test_a_chain_computed_for_many_entries_at_once_is_the_one_that_actions_write(case):
    copied = list(case.events.order_by("position"))
    rows = [[] for _ in copied]
    for event, of in zip(copied, rows, strict=True):
        for model, _ in SEALED:
            keys = event.covers.get(model._meta.label_lower, {"ids": []})["ids"]
            of += [model._base_manager.get(pk=key) for key in keys]
    salts = iter([event.salt for event in copied if event.salt])
    head = seal(zip(copied, rows, strict=True), number=case.number, salts=lambda: next(salts))
    assert head == Head(case.log_length, case.log_digest)


def test_the_command_says_what_it_checked_and_names_the_first_broken_link_of_each_case(case):
    other = told_case()
    lines, code = said()
    assert code == 0
    assert lines == [
        f"Checked 2 cases: {case.log_length + other.log_length} entries of their logs and "
        f"{check(case).rows + check(other).rows} rows that these stand for; 2 cases sound, 0 not."
    ]
    with triggers_down():
        case.events.filter(position__in=[4, 9]).update(reason="Another")
        other.readings.filter(value=Decimal("2.4")).update(value=Decimal("2.5"))
    lines, code = said()
    fourth, correction = case.events.get(position=4), other.events.get(act="correction")
    assert code == 1
    assert lines[:2] == [
        f"{case.number}: entry 4 ({fourth.get_act_display()}) is not as it was written",
        f"{other.number}: entry {correction.position} (Figure corrected): its reading is not as it was written",
    ]
    assert lines[2].endswith("; 0 cases sound, 2 not.")
    assert said("--case", other.number)[0][0] == lines[1]


@pytest.mark.parametrize("number", ["26-99999-0", "nonsense"])
def test_a_case_that_is_not_there_is_refused(number):
    assert said("--case", number) == ([], 2)


def test_what_is_logged_while_others_are_read_breaks_nothing(case):
    """The case as it was read before the entry, beside its log as it is after."""
    before = Case.objects.get(pk=case.pk)
    printed(case.stages.first(), by=case.opened_by)
    (checked,) = check_cases([before])
    assert (checked.broken, checked.entries) == ("", before.log_length + 1)


# ---- what an intruder does ----


def other_value(field, value, rng):
    """A value that the column takes and that is not the one it has."""
    if isinstance(field, models.ForeignKey):
        keys = field.related_model._base_manager.exclude(pk=value).values_list("pk", flat=True)
        return rng.choice(list(keys)) if keys else None
    if isinstance(field, models.JSONField):
        return {**value, "more": 1} if isinstance(value, dict) else [*value, "more"]
    if isinstance(field, models.BooleanField):
        return not value
    if isinstance(field, models.DateTimeField):
        return (value or NOW) + datetime.timedelta(microseconds=1)
    if isinstance(field, models.DecimalField):
        return (value or Decimal(0)) + Decimal(1).scaleb(-field.decimal_places)
    if isinstance(field, models.BinaryField):
        return bytes(value) + b"."
    if isinstance(field, models.CharField | models.TextField):
        return value[:-1] if value and rng.random() < 0.5 else value[: (field.max_length or 999) - 1] + "~"
    return (value or 0) + rng.choice([1, 1000])


def rows_to_alter(case, rng):
    model, path = rng.choice([*SEALED, *[(Event, "case")] * 4])
    return model._base_manager.filter(**{path: case})


def a_column_changed(case, rng):
    rows = rows_to_alter(case, rng)
    row = rng.choice(list(rows))
    field = rng.choice(
        [each for each in row._meta.concrete_fields if each.name != "id" or rows.model is not Event]
    )
    value = getattr(row, field.attname)
    changed = {field.attname: other_value(field, value, rng)}
    rows.filter(pk=row.pk).update(**changed)
    return f"{row._meta.label}: {value!r} to {changed}"


def a_column_emptied(case, rng):
    rows = rows_to_alter(case, rng)
    row = rng.choice(list(rows))
    full = [
        each for each in row._meta.concrete_fields if getattr(row, each.attname) not in (None, "", {}, [])
    ]
    field = rng.choice([each for each in full if each.null or isinstance(each, EMPTIED)])
    empty = None if field.null else type(getattr(row, field.attname))()
    rows.filter(pk=row.pk).update(**{field.attname: empty})


def an_entry_changed_and_sealed_anew(case, rng):
    log = list(case.events.order_by("position"))
    event = rng.choice(log)
    event.reason += "~"
    previous = log[event.position - 2].digest if event.position > 1 else ""
    digest = entry_digest(event, number=case.number, previous=previous)
    case.events.filter(pk=event.pk).update(reason=event.reason, digest=digest)


def a_row_deleted(case, rng):
    rows = rows_to_alter(case, rng)
    rows.filter(pk=rng.choice(list(rows)).pk)._raw_delete(rows.db)


def the_last_entries_cut_off(case, rng):
    rows = case.events.filter(position__gt=case.log_length - rng.randint(1, 5))
    rows._raw_delete(rows.db)


def a_row_inserted(case, rng):
    row = rng.choice(list(rows_to_alter(case, rng)))
    row.pk = None
    for field in row._meta.concrete_fields:
        if field.name in ("position", "visit", "revision"):
            setattr(row, field.name, 1 + type(row)._base_manager.aggregate(n=models.Max(field.name))["n"])
        elif field.name in ("supersedes",):
            row.supersedes = None
        elif field.name in ("code", "facts_digest", "dimension", "name"):
            setattr(row, field.name, "Z" * len(getattr(row, field.name)))
    row.save(force_insert=True)


def two_entries_exchanged(case, rng):
    one, other = rng.sample(list(case.events.all()), 2)
    for pk, position in ((one.pk, 10**6), (other.pk, one.position), (one.pk, other.position)):
        case.events.filter(pk=pk).update(position=position)


def two_rows_exchanged(case, rng):
    readings = list(case.readings.all())
    one, other = rng.sample(readings, 2)
    case.readings.filter(pk=one.pk).update(value=other.value + (one.value == other.value))


def the_prescription_changed(case, rng):
    field = Case._meta.get_field(rng.choice(PRESCRIPTION))
    Case.objects.filter(pk=case.pk).update(**{field.name: other_value(field, getattr(case, field.name), rng)})


def the_end_moved(case, rng):
    Case.objects.filter(pk=case.pk).update(log_length=case.log_length + rng.choice([-1, 1]))


ALTERATIONS = [
    *[a_column_changed] * 5,
    a_column_emptied,
    an_entry_changed_and_sealed_anew,
    a_row_deleted,
    a_row_deleted,
    the_last_entries_cut_off,
    a_row_inserted,
    two_entries_exchanged,
    two_rows_exchanged,
    the_prescription_changed,
    the_end_moved,
]


def undetected(case, rng, *, count):
    """Alter the case `count` times, each time undoing it again, and return what the check did not see."""
    missed, done = [], 0
    with triggers_down():
        while done < count:
            alter = rng.choice(ALTERATIONS)
            try:
                with transaction.atomic():
                    what = alter(case, rng)
                    found = check(case).broken
                    transaction.set_rollback(True)
            except Error:
                continue  # the database itself refused it
            done += 1
            missed += [] if found else [f"{alter.__name__}: {what}"]
    return missed


def test_an_alteration_of_any_record_is_detected(case, rng):
    missed = undetected(case, rng, count=60)
    assert not missed, "\n".join(missed)
    assert check(case).is_sound


@pytest.mark.full
def test_a_thousand_alterations_are_detected(case, rng, proof):
    missed = undetected(case, rng, count=1000)
    assert not missed, "\n".join(missed)
    assert check(case).is_sound
    proof("altered-records").reached(1000, "alterations found")
