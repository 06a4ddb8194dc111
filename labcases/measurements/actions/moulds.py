"""The laboratory's own list of tooth moulds, imported whole."""

import datetime

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from labcases.measurements.models import Mould, MouldList
from labcases.people.access import may_manage
from labcases.people.models import User
from labcases.people.refusals import Conflict, NotAllowed
from labcases.prosthodontics.teeth import read_moulds
from labcases.prosthodontics.teeth.moulds import FIGURES


@transaction.atomic
def import_moulds(
    *, text: str, by: User, now: datetime.datetime, expected: MouldList | None, note: str = ""
) -> MouldList:
    """Put a CSV text's moulds in the place of the list before; the list as a whole or nothing of it.

    `expected` is the list that the manager saw; another one by now is a Conflict. Raises InputError for what is
    no mould list, and FaultyMoulds, which names every faulty line.
    """
    if not may_manage(by):
        raise NotAllowed(_("Only a lab manager imports the mould list."))
    moulds = read_moulds(text)
    stored = _next_list(by=by, now=now, expected=expected, note=note.strip())
    Mould.objects.bulk_create(
        Mould(
            list=stored,
            position=position,
            name=mould.name,
            **{name: getattr(mould, name) for name in FIGURES},
        )
        for position, mould in enumerate(moulds, 1)
    )
    return stored


def _next_list(*, by: User, now: datetime.datetime, expected: MouldList | None, note: str) -> MouldList:
    """Of two imports at once the database lets one have the number that both are after."""
    number = expected.number + 1 if expected else 1
    try:
        with transaction.atomic():
            return MouldList.objects.create(number=number, imported_at=now, imported_by=by, note=note)
    except IntegrityError:
        latest = MouldList.objects.select_related("imported_by").first()
        raise Conflict(
            _("The mould list was imported by somebody else while this page was open."),
            who=str(latest.imported_by) if latest else "",
            when=latest.imported_at if latest else None,
        ) from None
