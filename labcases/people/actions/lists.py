"""Keeping how somebody wants to see a list: saved views, their order, which comes first, and the columns."""

from collections.abc import Mapping, Sequence

from django.conf import settings
from django.db import transaction
from django.db.models import F, Max, QuerySet
from django.utils.translation import gettext as _

from labcases.people.access import may_manage
from labcases.people.choices import Role
from labcases.people.models import Laboratory, ListColumns, SavedView, User
from labcases.people.refusals import Conflict, NotAllowed, Refused

MOST_VIEWS = 30
FOR_ME, FOR_EVERYBODY = "me", "everybody"


@transaction.atomic
def save_view(
    *,
    name: str,
    shared_with: str,
    filters: Mapping[str, str],
    columns: Sequence[str],
    comes_first: bool,
    by: User,
) -> SavedView:
    """Keep a list under a name, for oneself ("me"), a role, or "everybody" in the laboratory."""
    whose = _whose(shared_with, by)
    _lock_shelf(by)
    _require_free_name(name, whose)
    position = _end_of_shelf(whose)
    if comes_first:
        _let_none_come_first(whose)
    return SavedView.objects.create(
        name=name.strip(),
        filters=dict(filters),
        columns=list(columns),
        is_default=comes_first,
        position=position,
        **whose,
    )


@transaction.atomic
def change_view(
    *,
    view: SavedView,
    name: str,
    shared_with: str,
    comes_first: bool,
    by: User,
    expected_version: int,
) -> None:
    """Rename a view, share it with others, or let it come first."""
    _require_own(view, by)
    whose = _whose(shared_with, by)
    _lock_shelf(by)
    _require_free_name(name, whose, besides=view)
    if comes_first:
        _let_none_come_first(whose, besides=view)
    stays = {"owner": view.owner, "role": view.role} == whose
    position = view.position if stays else _end_of_shelf(whose)
    _update(view, expected_version, name=name.strip(), is_default=comes_first, position=position, **whose)


@transaction.atomic
def move_view(*, view: SavedView, by: User, expected_version: int, later: bool) -> None:
    """Let a view change places with the one before or after it among those of the same people."""
    _require_own(view, by)
    _lock_shelf(by)
    shelf = list(_shelf({"owner": view.owner, "role": view.role}))
    here = next((at for at, each in enumerate(shelf) if each.pk == view.pk), None)
    there = None if here is None else here + (1 if later else -1)
    _update(view, expected_version)
    if here is None or there is None or not 0 <= there < len(shelf):
        return
    shelf[here], shelf[there] = shelf[there], shelf[here]
    for position, each in enumerate(shelf, 1):
        SavedView.objects.filter(pk=each.pk).update(position=position)


@transaction.atomic
def remove_view(*, view: SavedView, by: User, expected_version: int) -> None:
    _require_own(view, by)
    removed, _ = SavedView.objects.filter(pk=view.pk, version=expected_version).delete()
    if not removed:
        raise _conflict(view)


@transaction.atomic
def choose_columns(*, names: Sequence[str], by: User) -> None:
    """Keep the columns that somebody wants in their list; none means the usual ones."""
    ListColumns.objects.update_or_create(person=by, defaults={"names": list(names)})


@transaction.atomic
def use_keys(*, on: bool, by: User) -> None:
    """Let single keys move about lists for this person, or not."""
    User.objects.filter(pk=by.pk).update(uses_keys=on)


@transaction.atomic
def choose_language(*, code: str, by: User) -> None:
    """Show this person all pages in a language of the site; an empty code leaves it to the browser."""
    if code and code not in dict(settings.LANGUAGES):
        raise Refused(_("Choose one of the languages."))
    User.objects.filter(pk=by.pk).update(language=code)


def _whose(shared_with: str, by: User) -> dict[str, object]:
    if shared_with == FOR_ME:
        return {"owner": by, "role": ""}
    if not may_manage(by):
        raise NotAllowed(_("Only a lab manager shares a list with others."))
    if shared_with == FOR_EVERYBODY:
        return {"owner": None, "role": ""}
    if shared_with not in Role.values:
        raise Refused(_("Choose who shall see this list."))
    return {"owner": None, "role": shared_with}


def _require_own(view: SavedView, by: User) -> None:
    if view.owner_id != by.pk and (view.owner_id or not may_manage(by)):
        raise NotAllowed(_("This saved view is somebody else's."))


def _shelf(whose: Mapping[str, object]) -> QuerySet[SavedView]:
    return SavedView.objects.filter(**whose).order_by("position", "pk")


def _end_of_shelf(whose: Mapping[str, object]) -> int:
    """The position for one more view, if there is room for it."""
    if _shelf(whose).count() >= MOST_VIEWS:
        raise Refused(
            _("There are {count} saved views already. Remove one that nobody needs.").format(count=MOST_VIEWS)
        )
    return (_shelf(whose).aggregate(last=Max("position"))["last"] or 0) + 1


def _lock_shelf(by: User) -> None:
    """One change at a time, to one's own views and to those that are shared."""
    User.objects.select_for_update().only("pk").get(pk=by.pk)
    Laboratory.objects.select_for_update().filter(pk=1).first()


def _require_free_name(name: str, whose: Mapping[str, object], *, besides: SavedView | None = None) -> None:
    if not name.strip():
        raise Refused(_("Give the list a name."))
    others = _shelf(whose).filter(name__iexact=name.strip())
    if (others.exclude(pk=besides.pk) if besides else others).exists():
        raise Refused(_("There is a saved view “{name}” already.").format(name=name.strip()))


def _let_none_come_first(whose: Mapping[str, object], *, besides: SavedView | None = None) -> None:
    others = _shelf(whose).filter(is_default=True)
    (others.exclude(pk=besides.pk) if besides else others).update(is_default=False, version=F("version") + 1)


def _update(view: SavedView, expected_version: int, **changes: object) -> None:
    changed = SavedView.objects.filter(pk=view.pk, version=expected_version).update(
        version=F("version") + 1, **changes
    )
    if not changed:
        raise _conflict(view)


def _conflict(view: SavedView) -> Conflict:
    return Conflict(
        _("The saved view “{name}” was changed by somebody else while this page was open.").format(
            name=view.name
        )
    )
