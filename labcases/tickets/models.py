from django.conf import settings
from django.db import models
from django.db.models import Q
from django.db.models.functions import Length as LengthOf
from django.db.models.lookups import Exact

from labcases.cases.models import Stage
from labcases.measurements.models import Specification
from labcases.tickets.choices import Paper
from labcases.tickets.codes import LENGTH


class WorkTicket(models.Model):
    """A printed ticket as it was issued: its bytes are kept, so that a reprint is the same paper again."""

    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="tickets")
    specification = models.ForeignKey(
        Specification, on_delete=models.PROTECT, related_name="tickets", null=True, blank=True
    )
    code = models.CharField(max_length=LENGTH, unique=True)
    paper = models.CharField(max_length=8, choices=Paper.choices, default=Paper.A4)
    facts_digest = models.CharField(max_length=64)
    pdf = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    pages = models.PositiveSmallIntegerField()
    issued_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    issued_at = models.DateTimeField()

    class Meta:
        ordering = ["stage", "-issued_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["stage", "facts_digest", "paper"], name="the_same_facts_make_one_paper"
            ),
            models.CheckConstraint(condition=Exact(LengthOf("code"), LENGTH), name="a_code_is_26_characters"),
            models.CheckConstraint(
                condition=Q(Exact(LengthOf("sha256"), 64)) & Q(Exact(LengthOf("facts_digest"), 64)),
                name="a_ticket_has_its_hashes",
            ),
            models.CheckConstraint(condition=Q(pages__gte=1), name="a_ticket_has_pages"),
            models.CheckConstraint(condition=Q(paper__in=Paper.values), name="a_paper_is_a_known_one"),
        ]

    def __str__(self) -> str:
        return f"Work ticket {self.code[:4]}, {self.stage}"

    @property
    def file_name(self) -> str:
        return f"{self.stage.case.number}-{self.stage.kind}-{self.code[:4]}.pdf"
