"""Fields that a form does not have change nothing, whoever makes them up."""

import datetime

import pytest
from django.db import models, transaction
from django.utils import timezone

from labcases.cases.models import Case, Stage
from labcases.measurements.models import Reading, Specification
from labcases.people.models import Practice, User
from tests.security.browsing import Form
from tests.security.filling import filled, our_models, rows, send

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

# Buttons and answers of other forms at the same address: not the row's fields, but asked for by name.
ASKED_FOR = {"reason", "keep", "usual", "look", "back", "stage", "step", "file", "clear"}
# New with every row, by chance or by its content.
BY_CHANCE = {
    "digest",
    "log_digest",
    "salt",
    "covers",
    "ticket",
    "token",
    "password",
    "key",
    "answer",
    "code",
    "sha256",
    "pdf",
    "facts_digest",
}


def planted(site) -> dict[str, str]:
    """A value for every field of the rows that matter, each one that somebody would like to have there."""
    found: dict[str, str] = {"is_superuser": "on", "is_staff": "on", "id": "1", "pk": "1"}
    for model in (Reading, Specification, Stage, Case, Practice, User):
        for field in model._meta.concrete_fields:
            found[field.name] = found[field.attname] = _wanted(field, site)
    return found


def _wanted(field: models.Field, site) -> str:
    if field.is_relation:
        foreign = {Practice: site.sides[1].practice, User: site.sides[1].clinician}
        chosen = foreign.get(field.related_model)
        return str(chosen.pk if chosen else 1)
    if field.choices:
        return str(field.choices[-1][0])
    if isinstance(field, models.BooleanField):
        return "on"
    if isinstance(field, models.DateField):
        return "2020-01-01"
    return "77" if isinstance(field, models.IntegerField | models.DecimalField) else "planted"


def test_no_form_takes_a_field_that_it_does_not_have(site, forms, clients):
    taken, done = [], 0
    extra = planted(site)
    for person, form in forms:
        if form.route == "calculator" or (form.button and form.button[0] == "look"):
            continue
        sent = filled(form)
        own = {box.name for box in form.boxes} | ASKED_FOR
        foreign = {name: [value] for name, value in extra.items() if name not in own}
        plain, spoilt = (_outcome(clients[person], form, each) for each in (sent, {**foreign, **sent}))
        done += plain[0] == 302
        if plain != spoilt:
            taken.append(
                f"{form.address} as {person}: {plain[0]}, {spoilt[0]}: {_differences(plain[1], spoilt[1])}"
            )
    assert not taken, "\n".join(taken)
    assert done > 30, "too few forms were filled in well enough to be taken"


def _outcome(
    client, form: Form, sent: dict[str, list[str]]
) -> tuple[int, dict[str, list[dict[str, object]]]]:
    """The answer's status, and the rows as they were then, without what only time and chance gave them."""
    known = {
        model._meta.label: set(model._default_manager.values_list("pk", flat=True)) for model in our_models()
    }
    began = timezone.now()
    with transaction.atomic():
        status = send(client, form, sent, key="the form's").status_code
        found = {
            model._meta.label: [_bare(model, row, known, began) for row in stored]
            for model, stored in zip(our_models(), rows().values(), strict=True)
        }
        transaction.set_rollback(True)
    return status, found


def _bare(
    model, row: dict[str, object], known: dict[str, set], began: datetime.datetime
) -> dict[str, object]:
    bare = {}
    for field in model._meta.concrete_fields:
        value = row[field.attname]
        if field.name in BY_CHANCE:
            continue
        label = field.related_model._meta.label if field.is_relation else model._meta.label
        if (field.is_relation or field.primary_key) and value not in known[label]:
            value = "new" if value is not None else None
        if isinstance(value, datetime.datetime) and value >= began:
            value = "now"
        if isinstance(value, dict):
            value = {name: each for name, each in value.items() if name not in BY_CHANCE}
        bare[field.name] = value
    return bare


def _differences(plain, spoilt) -> list[str]:
    return [
        f"{label}: {sorted(set(map(str, spoilt[label])) ^ set(map(str, plain[label])))[:4]}"
        for label in plain
        if plain[label] != spoilt[label]
    ]


def test_a_clinician_cannot_prescribe_for_somebody_elses_colleague(site, forms, clients):
    tried = 0
    for person, form in forms:
        if (
            person == "clinician"
            and form.route in ("clinic:new_case", "clinic:prescription")
            and not form.button
        ):
            sent = {**filled(form), "prescriber": [str(site.sides[1].clinician.pk)]}
            assert send(clients[person], form, sent, key="foreign").status_code == 422
            tried += 1
    assert tried >= 2
