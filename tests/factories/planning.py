import datetime

import factory

from labcases.planning import models
from tests.factories.cases import NOW, CaseFactory, StageFactory
from tests.factories.people import ManagerFactory, PracticeFactory, TechnicianFactory

HOUR = datetime.timedelta(hours=1)


class LaboratoryCalendarFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.LaboratoryCalendar
        django_get_or_create = ("id",)

    id = 1
    country = "GB"


class OpeningHoursFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.OpeningHours

    weekday = 0
    opens = datetime.time(8)
    closes = datetime.time(16)


class ClosedDayFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.ClosedDay

    day = factory.Sequence(lambda n: datetime.date(2026, 7, 1) + datetime.timedelta(days=n))
    reason = "Kiln of the year festival"


class AbsenceFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Absence

    person = factory.SubFactory(TechnicianFactory)
    first_day = datetime.date(2026, 3, 3)
    last_day = datetime.date(2026, 3, 4)


class TransportFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Transport

    practice = factory.SubFactory(PracticeFactory)


class CollectionDayFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.CollectionDay

    transport = factory.SubFactory(TransportFactory)
    weekday = 1
    cut_off = datetime.time(15)


class StandardTimeFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.StandardTime

    stage_kind = "occlusion_rims"
    hands_on_minutes = 60
    lab_days = 1
    skill = "bases_and_rims"
    changed_by = factory.SubFactory(ManagerFactory)
    changed_at = NOW


class PersonSkillFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.PersonSkill

    person = factory.SubFactory(TechnicianFactory)
    skill = "bases_and_rims"


class CaseWeightFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.CaseWeight

    case = factory.SubFactory(CaseFactory)
    weight = 4


class PlannedWorkFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.PlannedWork

    stage = factory.SubFactory(StageFactory)
    person = factory.SubFactory(TechnicianFactory)
    starts_at = NOW
    ends_at = NOW + HOUR
    by = factory.SubFactory(ManagerFactory)
    at = NOW


class ProposalFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Proposal

    asked_by = factory.SubFactory(ManagerFactory)
    asked_at = NOW
    first_day = NOW.date()
    last_day = NOW.date() + datetime.timedelta(days=11)


class ProposalCaseFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.ProposalCase

    proposal = factory.SubFactory(ProposalFactory)
    case = factory.SubFactory(CaseFactory)
    position = factory.Sequence(lambda n: n)
    cause = "in time"
    words = "Ready 4.5 h before collection."


class ProposalLineFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.ProposalLine

    proposal = factory.SubFactory(ProposalFactory)
    proposal_case = factory.SubFactory(ProposalCaseFactory, proposal=factory.SelfAttribute("..proposal"))
    stage = factory.SubFactory(StageFactory)
    stage_version = 1
    person = factory.SubFactory(TechnicianFactory)
    starts_at = NOW
    ends_at = NOW + HOUR


class CalendarFeedFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.CalendarFeed

    token = factory.Sequence(lambda n: f"{n:043d}")
    person = factory.SubFactory(TechnicianFactory)
    made_by = factory.SubFactory(ManagerFactory)
    made_at = NOW
