"""What the database itself refuses of figures and specifications."""

from decimal import Decimal

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, transaction
from django.db.models import ProtectedError

from tests.factories.cases import CaseFactory
from tests.factories.measurements import (
    LabStandardFactory,
    NormFactory,
    ReadingFactory,
    SpecificationFactory,
    SpecificationLineFactory,
)

pytestmark = pytest.mark.django_db

CHECKED = {
    "a_target_lies_between_its_limits": (
        SpecificationLineFactory,
        [{"lower": Decimal(22), "upper": Decimal(22)}, {"lower": None}, {"upper": None}, {"target": None}],
        [{"lower": Decimal("22.001")}, {"upper": Decimal("21.999")}],
    ),
    "a_correction_has_a_reason": (
        ReadingFactory,
        [lambda: {"supersedes": ReadingFactory(), "reason": "Slip"}, {"reason": ""}],
        [lambda: {"supersedes": ReadingFactory()}],
    ),
    "a_verdict_is_about_a_line": (
        ReadingFactory,
        [lambda: {"verdict": "within", "line": SpecificationLineFactory()}, {"verdict": ""}],
        [{"verdict": "within"}],
    ),
}
UNIQUE = {
    "a_standard_has_a_norm_once": (NormFactory, lambda: {"standard": LabStandardFactory()}),
    "a_revision_is_issued_once": (SpecificationFactory, lambda: {"case": CaseFactory(), "revision": 1}),
    "a_specification_has_a_line_once": (
        SpecificationLineFactory,
        lambda: {"specification": SpecificationFactory()},
    ),
    "supersedes": (ReadingFactory, lambda: {"supersedes": ReadingFactory(), "reason": "Slip"}),
}


def given(values):
    return values() if callable(values) else values


@pytest.mark.parametrize("name", CHECKED)
def test_a_row_that_breaks_its_rule_is_refused_by_it(name):
    factory, kept, broken = CHECKED[name]
    for values in kept:
        factory(**given(values))
    for values in broken:
        with pytest.raises(IntegrityError, match=name), transaction.atomic():
            factory(**given(values))


@pytest.mark.parametrize("name", UNIQUE)
def test_a_second_row_is_refused_where_there_is_one(name):
    factory, shared = UNIQUE[name]
    same = shared()
    factory(**same)
    with pytest.raises(IntegrityError) as refusal, transaction.atomic():
        factory(**same)
    words = str(refusal.value)
    assert name in words or (connection.vendor == "sqlite" and words.startswith("UNIQUE constraint failed"))


def test_every_rule_about_figures_is_tried_here():
    names = ("labstandard", "norm", "specification", "specificationline", "prescribeddimension", "reading")
    models = [apps.get_model("measurements", name) for name in names]
    named = {constraint.name for model in models for constraint in model._meta.constraints}
    assert named <= {*CHECKED, *UNIQUE}


def test_what_was_issued_or_read_keeps_its_case_and_its_standard_from_being_deleted():
    issued = SpecificationFactory(standard=LabStandardFactory())
    line = SpecificationLineFactory(specification=issued)
    reading = ReadingFactory(line=line, verdict="within")
    for row in (issued.standard, issued, line, reading.stage, reading.case):
        with pytest.raises(ProtectedError):
            row.delete()
