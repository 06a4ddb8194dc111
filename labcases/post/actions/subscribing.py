from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _

from labcases.people.models import User
from labcases.people.refusals import Conflict, NotAllowed, Refused
from labcases.post.choices import Rhythm
from labcases.post.models import Subscription
from labcases.post.queries import lines_for_the_morning


@transaction.atomic
def choose_letters(
    *, person: User, rhythm: str, address: str, whole_practice: bool, by: User, expected_version: int
) -> None:
    """What letters a clinician wants and where to. It is theirs alone to say: nobody is written to unasked."""
    if by.pk != person.pk or not (by.is_active and by.is_clinician):
        raise NotAllowed(_("Clinicians choose their own letters."))
    if rhythm not in Rhythm.values or (rhythm != Rhythm.NEVER and not address):
        raise Refused(_("Letters need an address to go to."))
    row, _is_new = Subscription.objects.get_or_create(person=person, defaults={"version": 0})
    changed = Subscription.objects.filter(pk=row.pk, version=expected_version).update(
        rhythm=rhythm, address=address, whole_practice=whole_practice, version=F("version") + 1
    )
    if not changed:
        raise Conflict(_("Your letters were changed on another page while this one was open."))
    if rhythm != Rhythm.DAILY:
        # What was kept for a morning that does not come; the cases themselves show it.
        lines_for_the_morning(person).delete()
