"""Photographs and scans of a patient go with the patient's other data, bytes and words alike."""

from functools import partial

from django.db import transaction

from labcases.attachments.models import Attachment
from labcases.attachments.storage import attachment_storage
from labcases.cases.models import Case


def erase_files(case: Case) -> int:
    """Empty every file of a case, within the transaction and the log entry of the caller; how many there were.

    The bytes are deleted once that transaction has succeeded: a storage can't take a deletion back.
    """
    kept = Attachment.objects.filter(case=case, file__isnull=False)
    names = [name for pair in kept.values_list("file", "small") for name in pair if name]
    count = kept.update(file=None, small="", caption="")
    transaction.on_commit(partial(_delete, names))
    return count


def _delete(names: list[str]) -> None:
    for name in names:
        attachment_storage().delete(name)
