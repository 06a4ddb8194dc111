"""Where in the primary's log a person last wrote, so that a replica shows it to them or is not asked."""

from django.db.models.functions import Greatest

from labcases.people.models import User
from labcases.upkeep.models import LastWrite
from labcases.upkeep.queries import EndOfLog


def note_write(*, by: User) -> None:
    """Note the end of the log, once what the person wrote is committed. PostgreSQL only.

    The higher position stays, so that of two answers given at once neither takes back the other's.
    """
    rows, higher = LastWrite.objects.filter(user=by), Greatest("position", EndOfLog())
    if not rows.update(position=higher):
        LastWrite.objects.bulk_create([LastWrite(user=by, position=0)], ignore_conflicts=True)
        rows.update(position=higher)
