import datetime

import factory

from labcases.people.choices import Role
from labcases.people.models import (
    BenchDevice,
    BenchPin,
    Laboratory,
    ListColumns,
    OneTimeKey,
    Practice,
    SavedView,
    Session,
    SignInCount,
    SignInLink,
    User,
)

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


class BenchDeviceFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = BenchDevice

    name = factory.Sequence(lambda n: f"Tablet {n}")
    digest = factory.Sequence(lambda n: f"{n:064x}")
    made_by = factory.SubFactory(ManagerFactory)


class BenchPinFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = BenchPin

    user = factory.SubFactory(TechnicianFactory)
    code = "!"


class SignInLinkFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = SignInLink

    user = factory.SubFactory(TechnicianFactory)
    digest = factory.Sequence(lambda n: f"{n:064x}")
    made_by = factory.SubFactory(ManagerFactory)
    expires_at = datetime.datetime(2026, 3, 2, 9, 0, tzinfo=datetime.UTC)


class SessionFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Session

    session_key = factory.Sequence(lambda n: f"k{n:031x}")
    session_data = ""
    expire_date = datetime.datetime(2026, 3, 2, 9, 0, tzinfo=datetime.UTC)
    user = factory.SubFactory(TechnicianFactory)
    device = "Firefox on Linux"


class SavedViewFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = SavedView

    name = factory.Sequence(lambda n: f"View {n}")
    owner = factory.SubFactory(ManagerFactory)
    filters = {"late": "on"}


class ListColumnsFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = ListColumns

    person = factory.SubFactory(ManagerFactory)
    names = ["practice", "due"]
