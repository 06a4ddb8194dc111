"""The one place that says who may do what. Whose case it is decides `Case.objects.visible_to`."""

from labcases.people.models import User


def works_in_laboratory(user: User) -> bool:
    return user.is_active and (user.is_manager or user.is_technician)


def may_manage(user: User) -> bool:
    return user.is_active and user.is_manager


def may_work_at_bench(user: User) -> bool:
    return works_in_laboratory(user)


def may_prescribe(user: User) -> bool:
    return user.is_active and (user.is_clinician or user.is_manager)


def may_release_outside(user: User) -> bool:
    """Whether this person may finish a stage although a figure lies outside its limits."""
    return user.is_active and (user.is_manager or user.may_release_outside)
