"""Files are added and removed; none is changed or written over."""

import datetime
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import translation
from django.utils.translation import gettext as _

from labcases.attachments.access import may_attach, may_remove
from labcases.attachments.choices import Kind, View
from labcases.attachments.files import Content
from labcases.attachments.models import Attachment
from labcases.attachments.queries import MOST_OF_A_CASE, owned_names
from labcases.attachments.storage import attachment_storage, new_name
from labcases.cases.actions.guards import conflict_in, locked, log, require_not_cancelled
from labcases.cases.choices import Act
from labcases.cases.models import Case, Stage
from labcases.people.models import User
from labcases.people.refusals import NotAllowed, Refused


@dataclass(frozen=True)
class Stored:
    """A file that lies in the storage, under the names that it has there."""

    content: Content
    name: str
    small_name: str


@contextmanager
def stored(content: Content) -> Iterator[Stored]:
    """The file in the storage; gone again at the end of the block unless a row has come to own it.

    A storage knows no transaction, so it is written before one begins and looked after once it has ended.
    """
    storage = attachment_storage()
    names: list[str] = []
    try:
        names.append(storage.save(new_name(content.suffix), ContentFile(content.data)))
        if content.small:
            names.append(storage.save(new_name(content.suffix), ContentFile(content.small)))
        yield Stored(content, names[0], names[1] if content.small else "")
    finally:
        for name in set(names) - owned_names(*names):
            storage.delete(name)


@transaction.atomic
def attach(
    *,
    case: Case,
    stage: Stage | None,
    file: Stored,
    view: str,
    caption: str,
    by: User,
    now: datetime.datetime,
) -> Attachment:
    """Keep a stored file with the case: on one of its stages, or with None on its prescription."""
    if not may_attach(by, case):
        raise NotAllowed(_("Only the practice of a case and the laboratory add files to it."))
    is_photograph = file.content.kind == Kind.PHOTOGRAPH
    if is_photograph and view not in View.values:
        raise Refused(_("Choose what the photograph shows, so that it can be laid beside another visit’s."))
    case = locked(case.pk)
    require_not_cancelled(case)
    if stage is not None and stage.case_id != case.pk:
        raise Refused(_("The stage is not one of this case."))
    if Attachment.objects.filter(case=case, removed_at__isnull=True).count() >= MOST_OF_A_CASE:
        words = _("This case has {number} files; remove some before others are added.")
        raise Refused(words.format(number=MOST_OF_A_CASE))
    kept = _create(case, stage, file, view=view if is_photograph else "", caption=caption, by=by, now=now)
    log(case, Act.ATTACHED, by=by, now=now, stage=stage, after=_told(kept))
    return kept


def _create(
    case: Case,
    stage: Stage | None,
    file: Stored,
    *,
    view: str,
    caption: str,
    by: User,
    now: datetime.datetime,
) -> Attachment:
    content = file.content
    return Attachment.objects.create(
        case=case,
        stage=stage,
        kind=content.kind,
        view=view,
        caption=" ".join(caption.split()),
        file=file.name,
        small=file.small_name,
        size=len(content.data),
        sha256=content.sha256,
        width=content.width,
        height=content.height,
        triangles=content.triangles,
        extent=content.extent,
        by=by,
        at=now,
    )


def _told(kept: Attachment) -> dict[str, object]:
    """What the log keeps for good, whoever reads it: not the caption, which may say something of the patient."""
    with translation.override("en-gb"):
        return {"attachment": kept.pk, "what": kept.title, "sha256": kept.sha256}


@transaction.atomic
def remove_attachment(*, attachment: Attachment, reason: str, by: User, now: datetime.datetime) -> None:
    """Put a file out of sight, with the reason; its bytes stay with the record."""
    if not may_remove(by, attachment):
        raise NotAllowed(_("A file is removed by those who added it, or by a lab manager."))
    if not reason.strip():
        raise Refused(_("Say why the file is removed."))
    case = locked(attachment.case_id)
    removed = Attachment.objects.filter(pk=attachment.pk, removed_at__isnull=True).update(
        removed_at=now, removed_by=by, removal_reason=reason.strip()
    )
    if not removed:
        raise conflict_in(case, _("This file was removed already."))
    log(
        case,
        Act.ATTACHMENT_REMOVED,
        by=by,
        now=now,
        stage=attachment.stage,
        before=_told(attachment),
        reason=reason.strip(),
    )
