import hashlib

import factory

from labcases.tickets import models
from labcases.tickets.codes import new_code
from tests.factories.cases import NOW, StageFactory
from tests.factories.people import ManagerFactory

PDF = b"%PDF-1.7 a paper that nobody reads"


class WorkTicketFactory(factory.django.DjangoModelFactory):
    """A bare row; tests that look at the paper issue one."""

    class Meta:
        model = models.WorkTicket

    stage = factory.SubFactory(StageFactory)
    code = factory.LazyFunction(new_code)
    facts_digest = factory.Sequence(lambda n: hashlib.sha256(str(n).encode()).hexdigest())
    pdf = PDF
    sha256 = hashlib.sha256(PDF).hexdigest()
    pages = 1
    issued_by = factory.SubFactory(ManagerFactory)
    issued_at = NOW


class PrintRunFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.PrintRun

    asked_by = factory.SubFactory(ManagerFactory)
    asked_at = NOW


class PrintLineFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.PrintLine

    run = factory.SubFactory(PrintRunFactory)
    position = factory.Sequence(lambda n: n + 1)
    stage = factory.SubFactory(StageFactory)
