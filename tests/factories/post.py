import datetime
import uuid

import factory

from labcases.people.queries import digest_of_key
from labcases.post import models
from labcases.post.choices import News, Rhythm
from tests.factories.cases import NOW, CaseFactory
from tests.factories.people import ClinicianFactory


class SubscriptionFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Subscription

    person = factory.SubFactory(ClinicianFactory)
    address = factory.Sequence(lambda n: f"clinician{n}@practice.example")
    rhythm = Rhythm.AT_ONCE


class LetterFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Letter

    person = factory.SubFactory(ClinicianFactory)
    address = factory.Sequence(lambda n: f"clinician{n}@practice.example")
    subject = factory.Sequence(lambda n: f"Letter number {n}")
    message_id = factory.LazyFunction(uuid.uuid4)
    written_at = NOW
    next_try_at = NOW


class LineFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Line

    person = factory.SubFactory(ClinicianFactory)
    case = factory.SubFactory(CaseFactory)
    news = News.ON_ITS_WAY
    at = NOW


class CaseLinkFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.CaseLink
        exclude = ("token",)

    token = factory.Sequence(lambda n: f"token-{n}")
    digest = factory.LazyAttribute(lambda link: digest_of_key(link.token))
    person = factory.SubFactory(ClinicianFactory)
    case = factory.SubFactory(CaseFactory)
    made_at = NOW
    expires_at = NOW + datetime.timedelta(days=1)
