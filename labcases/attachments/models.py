from django.conf import settings
from django.db import models
from django.db.models import Q
from django.db.models.functions import Length as LengthOf
from django.db.models.lookups import Exact
from django.utils.translation import gettext as _

from labcases.attachments.choices import Kind, View
from labcases.attachments.storage import attachment_storage
from labcases.cases.models import Case, Stage
from labcases.people.choices import Worded
from labcases.prosthodontics.wording import figure


class Attachment(Worded):
    """A photograph, paper or scan kept with a case: on one of its stages, or on its prescription where it has none.

    The file is never changed; what was put there wrongly is removed with a reason, and nobody but a manager then
    gets to it. `size` is in bytes, `width` and `height` in pixels.
    """

    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="attachments")
    stage = models.ForeignKey(
        Stage, on_delete=models.PROTECT, related_name="attachments", null=True, blank=True
    )
    kind = models.CharField(max_length=12, choices=Kind.choices)
    view = models.CharField(max_length=24, choices=View.choices, blank=True)
    caption = models.CharField(max_length=200, blank=True)
    # None once the patient's data were erased: then the bytes are gone too.
    file = models.FileField(storage=attachment_storage, max_length=80, unique=True, null=True, blank=True)
    small = models.FileField(storage=attachment_storage, max_length=80, blank=True)
    size = models.PositiveBigIntegerField()
    sha256 = models.CharField(max_length=64)
    width = models.PositiveIntegerField(null=True, blank=True)
    height = models.PositiveIntegerField(null=True, blank=True)
    triangles = models.PositiveIntegerField(null=True, blank=True)
    extent = models.CharField(max_length=80, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    removed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    removed_at = models.DateTimeField(null=True, blank=True)
    removal_reason = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["case_id", "at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(file__isnull=True, small="", caption="")
                | Q(file__isnull=False, kind=Kind.PHOTOGRAPH) & ~Q(view="") & ~Q(small="")
                | Q(file__isnull=False, view="", small="") & ~Q(kind=Kind.PHOTOGRAPH),
                name="a_photograph_has_a_view_and_a_small_picture",
            ),
            models.CheckConstraint(
                condition=Q(removed_at__isnull=True, removed_by__isnull=True, removal_reason="")
                | Q(removed_at__isnull=False, removed_by__isnull=False) & ~Q(removal_reason=""),
                name="a_removed_file_has_a_person_a_time_and_a_reason",
            ),
            models.CheckConstraint(
                condition=Q(Exact(LengthOf("sha256"), 64)) & Q(size__gt=0), name="a_file_has_bytes_and_a_hash"
            ),
            models.CheckConstraint(condition=Q(kind__in=Kind.values), name="a_file_is_of_a_known_kind"),
        ]

    def __str__(self) -> str:
        return f"{self.title}, {self.case.number}"

    @property
    def title(self) -> str:
        return str(self.get_view_display() if self.view else self.get_kind_display())

    @property
    def is_photograph(self) -> bool:
        return self.kind == Kind.PHOTOGRAPH

    @property
    def belongs_to(self) -> str:
        return self.stage.label if self.stage else _("Prescription")

    @property
    def extent_in_words(self) -> str:
        """Its bounding box with the decimal mark of whoever reads it."""
        return figure(self.extent)

    @property
    def media_type(self) -> str:
        return {Kind.PHOTOGRAPH: "image/jpeg", Kind.PAPER: "application/pdf", Kind.CAST: "model/stl"}[
            Kind(self.kind)
        ]

    @property
    def file_name(self) -> str:
        """What the file is called where it is saved; what it was called before may have been a patient's name."""
        return f"{self.case.number}-{self.view or self.kind}-{self.pk}.{self.file.name.rpartition('.')[2]}"
