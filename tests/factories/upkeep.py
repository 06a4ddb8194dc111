import datetime

import factory

from labcases.upkeep import models
from tests.factories.cases import NOW
from tests.factories.people import TechnicianFactory


class WorkerFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Worker

    worker_id = factory.Sequence(lambda n: f"labcases-{n}")
    started_at = NOW
    seen_at = NOW


class BackupFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Backup

    day = factory.Sequence(lambda n: NOW.date() - datetime.timedelta(days=n))
    started_at = NOW
    file_name = factory.Sequence(lambda n: f"labcases-2026030{n % 10}T020000Z.zip")


class LastWriteFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.LastWrite

    user = factory.SubFactory(TechnicianFactory)
    position = 1
