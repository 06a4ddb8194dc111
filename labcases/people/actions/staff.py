from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _

from labcases.people.access import may_manage
from labcases.people.actions.sessions import end_sessions
from labcases.people.choices import Role
from labcases.people.models import Laboratory, Practice, User
from labcases.people.queries import practice_code_taken, username_taken
from labcases.people.refusals import Conflict, NotAllowed, Refused


def _only_managers(by: User) -> None:
    if not may_manage(by):
        raise NotAllowed(
            _("Only a lab manager can change people, practices and the laboratory's own details.")
        )


@transaction.atomic
def add_first_manager(*, username: str, display_name: str, password: str) -> User:
    """The one person whom nobody adds; refused as soon as there is a manager who could."""
    if User.objects.filter(role=Role.MANAGER, is_active=True).exists():
        raise Refused(_("There is a lab manager already; further people are added on the page Laboratory."))
    _refuse_taken_name(username)
    manager = User(username=username, display_name=display_name, role=Role.MANAGER)
    manager.set_password(password)
    manager.save(force_insert=True)
    return manager


@transaction.atomic
def add_person(
    *,
    username: str,
    display_name: str,
    role: str,
    by: User,
    practice: Practice | None = None,
    licence_number: str = "",
    may_release_outside: bool = False,
    password: str | None = None,
) -> User:
    """Add a person; without a password they cannot sign in (a prescriber who only writes on paper)."""
    _only_managers(by)
    _refuse_taken_name(username)
    user = User(
        username=username,
        display_name=display_name,
        role=role,
        practice=practice,
        licence_number=licence_number,
        may_release_outside=may_release_outside,
    )
    user.set_password(password)
    user.save(force_insert=True)
    return user


@transaction.atomic
def change_person(user: User, *, by: User, expected_version: int, **changes: object) -> None:
    _only_managers(by)
    _refuse_taken_name(str(changes.get("username", "")), besides=user)
    # Locked, so that two managers cannot switch each other off at the same moment.
    managers = User.objects.filter(role=Role.MANAGER, is_active=True)
    list(managers.select_for_update().order_by("pk"))
    changed = User.objects.filter(pk=user.pk, version=expected_version).update(
        version=F("version") + 1, **changes
    )
    if not changed:
        raise Conflict(
            _("{name} was changed by somebody else while this page was open.").format(name=user.display_name)
        )
    if changes.get("is_active") is False:
        end_sessions(of=user)
    if not managers.exists():
        raise Refused(_("The laboratory needs at least one lab manager who can sign in."))


@transaction.atomic
def set_password(user: User, *, password: str, by: User, session_key: str = "") -> None:
    """Set a password, and end all sessions of its owner but the one that asks for it."""
    if by.pk != user.pk:
        _only_managers(by)
    user.set_password(password)
    user.save(update_fields=["password"])
    end_sessions(of=user, besides=session_key)


@transaction.atomic
def add_practice(*, code: str, name: str, address: str, by: User) -> Practice:
    _only_managers(by)
    _refuse_taken_code(code)
    return Practice.objects.create(code=code, name=name, address=address)


@transaction.atomic
def change_practice(practice: Practice, *, by: User, expected_version: int, **changes: object) -> None:
    _only_managers(by)
    _refuse_taken_code(str(changes.get("code", "")), besides=practice)
    changed = Practice.objects.filter(pk=practice.pk, version=expected_version).update(
        version=F("version") + 1, **changes
    )
    if not changed:
        raise Conflict(
            _("{name} was changed by somebody else while this page was open.").format(name=practice.name)
        )


@transaction.atomic
def describe_laboratory(*, name: str, address: str, by: User, expected_version: int) -> None:
    _only_managers(by)
    _row, created = Laboratory.objects.get_or_create(pk=1, defaults={"name": name, "address": address})
    if created:
        return
    changed = Laboratory.objects.filter(pk=1, version=expected_version).update(
        name=name, address=address, version=F("version") + 1
    )
    if not changed:
        raise Conflict(_("The laboratory's details were changed by somebody else while this page was open."))


def _refuse_taken_name(username: str, *, besides: User | None = None) -> None:
    if username_taken(username, besides=besides):
        raise Refused(_("Somebody else already signs in as “{username}”.").format(username=username))


def _refuse_taken_code(code: str, *, besides: Practice | None = None) -> None:
    if practice_code_taken(code, besides=besides):
        raise Refused(_("Another practice already has the code “{code}”.").format(code=code))
