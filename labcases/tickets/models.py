from django.conf import settings
from django.db import models
from django.db.models import Q
from django.db.models.functions import Length as LengthOf
from django.db.models.lookups import Exact
from django.utils.translation import gettext as _

from labcases.cases.models import Stage
from labcases.measurements.models import Specification
from labcases.people.choices import Worded
from labcases.tickets.choices import Paper, RunState
from labcases.tickets.codes import LENGTH


class WorkTicket(Worded):
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
        ordering = ["stage_id", "-issued_at", "-pk"]
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
        return _("Work ticket {code}, {stage}").format(code=self.code[:4], stage=self.stage)

    @property
    def file_name(self) -> str:
        return f"{self.stage.case.number}-{self.stage.kind}-{self.code[:4]}.pdf"


class PrintRun(Worded):
    """Many papers asked for at once and made in the background.

    `attempt` counts how often it was begun, so that a worker given up for dead cannot end what its successor does.
    `pdf` is all of it in one, for a day or two; every paper by itself stays with its stage.
    """

    state = models.CharField(max_length=12, choices=RunState.choices, default=RunState.QUEUED)
    paper = models.CharField(max_length=8, choices=Paper.choices, default=Paper.A4)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    attempt = models.PositiveSmallIntegerField(default=1)
    beat_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    failure = models.CharField(max_length=400, blank=True)
    pdf = models.BinaryField(default=b"", blank=True)
    pages = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(state=RunState.FAILED) & ~Q(failure="")
                | ~Q(state=RunState.FAILED) & Q(failure=""),
                name="a_failed_print_says_why",
            )
        ]

    def __str__(self) -> str:
        return f"Papers asked for {self.asked_at:%Y-%m-%d %H:%M}"


class PrintLine(models.Model):
    """One paper of a run: not made yet, made, or not to be made for a reason."""

    run = models.ForeignKey(PrintRun, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    stage = models.ForeignKey(Stage, on_delete=models.CASCADE, related_name="+")
    ticket = models.ForeignKey(WorkTicket, on_delete=models.CASCADE, related_name="+", null=True, blank=True)
    failure = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["run_id", "position"]
        constraints = [
            models.UniqueConstraint(fields=["run", "position"], name="one_paper_at_a_position_of_a_print"),
            models.CheckConstraint(
                condition=Q(ticket__isnull=True) | Q(failure=""), name="a_paper_that_was_made_did_not_fail"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.run}, {self.position}"
