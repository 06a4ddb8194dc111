from django.db import transaction

from labcases.people.models import User


@transaction.atomic
def dismiss_hint(*, hint: str, by: User) -> None:
    """Put a page's hint away for this person, on every machine they use; put away twice it stays so."""
    # Locked, so that two hints put away at once both stay away.
    gone = User.objects.select_for_update().values_list("dismissed_hints", flat=True).get(pk=by.pk)
    if hint not in gone:
        User.objects.filter(pk=by.pk).update(dismissed_hints=[*gone, hint])


def show_hints_again(*, by: User) -> None:
    """Bring every hint back that this person has put away."""
    User.objects.filter(pk=by.pk).update(dismissed_hints=[])
