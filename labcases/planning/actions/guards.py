from django.utils.translation import gettext as _

from labcases.people.access import may_manage
from labcases.people.models import User
from labcases.people.refusals import Conflict, NotAllowed
from labcases.planning.models import LaboratoryCalendar


def only_managers(by: User) -> None:
    if not may_manage(by):
        raise NotAllowed(_("Only a lab manager plans the laboratory's time."))


def move_calendar_on(expected_version: int, **changes: str) -> None:
    """Change the calendar's row if nobody has since the page was loaded (version 0: there was none yet)."""
    calendar = LaboratoryCalendar.objects.get_or_create(pk=1, defaults={"version": 0})[0]
    changed = LaboratoryCalendar.objects.filter(pk=calendar.pk, version=expected_version).update(
        version=expected_version + 1, **changes
    )
    if not changed:
        raise Conflict(_("The laboratory's calendar was changed by somebody else while this page was open."))
