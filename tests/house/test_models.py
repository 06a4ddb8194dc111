"""What every model owes the project: a factory, a name that people can read, and keys that point down."""

import importlib

import pytest
from django.apps import apps
from django.db import models
from django.test.utils import isolate_apps
from factory.django import DjangoModelFactory

from tests.house.checks.keys import keys_that_point_up, ranks
from tests.house.checks.report import assert_none

OUR_MODELS = [model for model in apps.get_models() if model.__module__.startswith("labcases.")]


def _below(base: type) -> set[type]:
    return {cls for child in base.__subclasses__() for cls in {child} | _below(child)}


@pytest.fixture(scope="module")
def factories(project_root):
    for path in sorted((project_root / "tests" / "factories").glob("*.py")):
        importlib.import_module(f"tests.factories.{path.stem}")
    return {
        found._meta.model: found
        for found in _below(DjangoModelFactory)
        if found._meta.model and not found._meta.abstract
    }


@pytest.fixture
def factory(request, factories):
    if request.param not in factories:
        pytest.fail(f"{request.param._meta.label} has no factory; add one to tests/factories/")
    return factories[request.param]


def test_keys_point_down(project_root):
    assert_none(keys_that_point_up(OUR_MODELS, ranks=ranks(project_root)))


@isolate_apps("labcases.people", "labcases.cases", "labcases.measurements")
def test_a_key_that_points_up_is_found(project_root):
    class Planted(models.Model):
        case = models.ForeignKey("cases.Case", on_delete=models.CASCADE)

        class Meta:
            app_label = "people"

    faults = keys_that_point_up([Planted], ranks=ranks(project_root))
    assert faults == ["people.Planted.case points to cases, not below people"]


@pytest.mark.parametrize("model", OUR_MODELS, ids=lambda model: model._meta.label)
def test_rows_in_their_usual_order_need_no_other_table(model):
    """Ordered by a foreign key's name, rows come in the order of the other table, which is then read as well."""
    named = {name.lstrip("-") for name in model._meta.ordering}
    keys = {field.name for field in model._meta.concrete_fields if field.is_relation}
    assert named.isdisjoint(keys), f"{model._meta.label}: order by {min(named & keys, default='')}_id"


@pytest.mark.parametrize("model", OUR_MODELS, ids=lambda model: model._meta.label)
def test_a_model_has_its_own_name_for_people(model):
    owner = next(cls for cls in model.__mro__ if "__str__" in vars(cls))
    assert owner.__module__.startswith("labcases."), f"{model._meta.label} has no __str__ of its own"


@pytest.mark.django_db
@pytest.mark.parametrize("factory", OUR_MODELS, indirect=True, ids=lambda model: model._meta.label)
def test_a_factory_makes_a_row_that_reads_as_something(factory):
    row = factory.create()
    assert row.pk is not None
    assert str(row).strip()
    assert " object (" not in str(row)
