from django.db.models import QuerySet

from labcases.people.choices import Role
from labcases.people.models import Laboratory, Practice, User


def laboratory() -> Laboratory:
    """The laboratory, or an unsaved empty one before anybody has named it."""
    return Laboratory.objects.first() or Laboratory(pk=1, name="", address="")


def active_practices() -> QuerySet[Practice]:
    return Practice.objects.filter(is_active=True)


def technicians() -> QuerySet[User]:
    return User.objects.filter(role=Role.TECHNICIAN, is_active=True)


def bench_people() -> QuerySet[User]:
    """Everybody to whom a stage can be given: technicians first, then managers who still work at the bench."""
    return User.objects.filter(role__in=[Role.TECHNICIAN, Role.MANAGER], is_active=True).order_by(
        "-role", "display_name"
    )


def prescribers(practice: Practice | None = None) -> QuerySet[User]:
    found = User.objects.filter(role=Role.CLINICIAN, is_active=True).select_related("practice")
    return found.filter(practice=practice) if practice else found


def everyone() -> QuerySet[User]:
    return User.objects.select_related("practice").order_by("role", "display_name")
