import datetime
from decimal import Decimal

import factory

from labcases.measurements import models
from labcases.measurements.actions.readings import Entry
from labcases.measurements.choices import Basis
from tests.factories.cases import NOW, CaseFactory, StageFactory
from tests.factories.people import ManagerFactory


def entry(quantity, *values, arch="maxillary", instrument="digital_caliper", confirmed=False):
    """A figure as a form would hand it to an action."""
    return Entry(
        quantity=quantity,
        arch=arch,
        values=tuple(Decimal(value) for value in values),
        instrument=instrument,
        confirmed=confirmed,
    )


class LabStandardFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.LabStandard

    valid_from = datetime.date(2026, 1, 1)
    made_at = NOW
    made_by = factory.SubFactory(ManagerFactory)


class NormFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Norm

    standard = factory.SubFactory(LabStandardFactory)
    stage_kind = "occlusion_rims"
    arch = "maxillary"
    dimension = "anterior_height"
    target = Decimal("21")
    minus = Decimal("1")
    plus = Decimal("1")
    unit = "mm"


class SpecificationFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Specification

    case = factory.SubFactory(CaseFactory)
    stage_kind = "occlusion_rims"
    revision = factory.Sequence(lambda n: n + 1)
    rule = "simple_acceptance"
    issued_by = factory.SubFactory(ManagerFactory)
    issued_at = NOW


class SpecificationLineFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.SpecificationLine

    specification = factory.SubFactory(SpecificationFactory)
    position = factory.Sequence(lambda n: n + 1)
    arch = "maxillary"
    name = "anterior_height"
    label = "Anterior height"
    target = Decimal("22")
    lower = Decimal("21")
    upper = Decimal("23")
    unit = "mm"
    basis = Basis.STANDARD
    source = "common practice, no source"
    why = "The delivered starting figure."


class PrescribedDimensionFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.PrescribedDimension

    case = factory.SubFactory(CaseFactory)
    stage_kind = "occlusion_rims"
    arch = "maxillary"
    dimension = "anterior_height"
    value = Decimal("25")
    by = factory.SubFactory(ManagerFactory)
    at = NOW


class ReadingFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Reading

    stage = factory.SubFactory(StageFactory)
    case = factory.SelfAttribute("stage.case")
    quantity = "anterior_height"
    arch = "maxillary"
    repeats = ["22.0"]
    value = Decimal("22")
    uncertainty = Decimal("0.2")
    unit = "mm"
    instrument = "digital_caliper"
    by = factory.SubFactory(ManagerFactory)
    measured_at = NOW
    entered_at = NOW


class MouldListFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.MouldList

    number = factory.Sequence(lambda n: n + 1)
    imported_at = NOW
    imported_by = factory.SubFactory(ManagerFactory)


class MouldFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Mould

    list = factory.SubFactory(MouldListFactory)
    position = factory.Sequence(lambda n: n + 1)
    name = factory.Sequence(lambda n: f"Pebble {n}")
    six_anterior_width = Decimal("46.5")
    central_width = Decimal("8.5")
    central_length = Decimal("10")
    posterior_sum = Decimal("32")
