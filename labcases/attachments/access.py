"""Who may do what with a file; whose case it is decides `Case.objects.visible_to`."""

from labcases.attachments.models import Attachment
from labcases.cases.models import Case
from labcases.people.access import may_manage, works_in_laboratory
from labcases.people.models import User


def may_attach(user: User, case: Case) -> bool:
    own_practice = user.is_active and user.is_clinician and user.practice_id == case.practice_id
    return own_practice or works_in_laboratory(user)


def may_remove(user: User, attachment: Attachment) -> bool:
    """A manager may remove any file; others what came from their own side, clinic or laboratory."""
    if may_manage(user):
        return True
    same_side = user.is_clinician == attachment.by.is_clinician
    return same_side and may_attach(user, attachment.case)


def may_open(user: User, attachment: Attachment) -> bool:
    """A removed file is put out of everybody's sight but a manager's, who may have to look into it."""
    return bool(attachment.file) and (attachment.removed_at is None or may_manage(user))
