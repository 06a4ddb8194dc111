from django.db.models import QuerySet

from labcases.attachments.models import Attachment
from labcases.cases.models import Case, Stage
from labcases.people.models import User

MOST_OF_A_CASE = 200


def visible_attachments(user: User) -> QuerySet[Attachment]:
    """The files of the cases that this person may see, those removed among them."""
    return Attachment.objects.filter(case__in=Case.objects.visible_to(user)).select_related(
        "case", "case__practice", "stage", "stage__case", "by", "removed_by"
    )


def attachment_seen_by(user: User, pk: int) -> Attachment:
    return visible_attachments(user).get(pk=pk)


def attachments_of(case: Case) -> list[Attachment]:
    """All files of a case, those removed among them, oldest first."""
    found = case.attachments.select_related("stage", "by", "removed_by").order_by("at", "pk")
    files = list(found)
    for each in files:
        each.case = case
    return files


def earlier_of_the_same_view(photograph: Attachment) -> Attachment | None:
    """The last photograph of this view that was taken at another stage of the case before this one."""
    if not photograph.view:
        return None
    before = photograph.case.attachments.filter(
        view=photograph.view, file__isnull=False, removed_at__isnull=True, at__lt=photograph.at
    ).exclude(stage=photograph.stage_id)
    if photograph.stage_id is not None:
        # SQL counts what has no stage as neither the same nor another one.
        before = before | photograph.case.attachments.filter(
            view=photograph.view,
            file__isnull=False,
            removed_at__isnull=True,
            at__lt=photograph.at,
            stage__isnull=True,
        )
    return before.select_related("case", "stage", "stage__case", "by").order_by("at", "pk").last()


def stages_to_attach_to(case: Case) -> list[Stage]:
    """Every stage of the case's way, in path order."""
    stages = list(case.stages.order_by("position"))
    for stage in stages:
        stage.case = case
    return stages


def owned_names(*names: str) -> set[str]:
    """Which of these names in the storage belong to a row."""
    rows = Attachment.objects.filter(file__in=names) | Attachment.objects.filter(small__in=names)
    return {name for pair in rows.values_list("file", "small") for name in pair if name}
