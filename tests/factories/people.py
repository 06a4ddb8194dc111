import datetime

import factory

from labcases.people.choices import Role
from labcases.people.models import Laboratory, OneTimeKey, Practice, SignInCount, User

PASSWORD = "bench lamp and calliper"


class LaboratoryFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Laboratory
        django_get_or_create = ("id",)

    id = 1
    name = "Quarry Lane Denture Laboratory"
    address = "1 Quarry Lane, Plasterton"


class PracticeFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Practice

    code = factory.Sequence(lambda n: f"PR{n}")
    name = factory.Sequence(lambda n: f"Practice number {n}")
    address = "2 Bridge Street, Plasterton"


class UserFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = User
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"person{n}")
    display_name = factory.Sequence(lambda n: f"Person {n}")
    role = Role.TECHNICIAN
    password = factory.django.Password(PASSWORD)


class TechnicianFactory(UserFactory):
    role = Role.TECHNICIAN


class ManagerFactory(UserFactory):
    role = Role.MANAGER


class ClinicianFactory(UserFactory):
    role = Role.CLINICIAN
    practice = factory.SubFactory(PracticeFactory)
    licence_number = factory.Sequence(lambda n: f"LIC-{n:04d}")


class OneTimeKeyFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = OneTimeKey

    key = factory.Sequence(lambda n: f"{n:064x}")
    user = factory.SubFactory(UserFactory)
    answer = "/"


class SignInCountFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = SignInCount

    key = factory.Sequence(lambda n: f"{n:064x}")
    since = datetime.datetime(2026, 3, 2, 9, 0, tzinfo=datetime.UTC)
