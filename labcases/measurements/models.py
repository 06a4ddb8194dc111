from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from labcases.cases.choices import StageKind
from labcases.cases.models import Case, Stage
from labcases.measurements.choices import ArchOrPatient, Basis, Verdict
from labcases.measurements.querysets import ReadingQuerySet
from labcases.people.choices import Worded
from labcases.prosthodontics.wording import Words


class LabStandard(models.Model):
    """The laboratory's own figures from a day on. A change is a new standard, so that old tickets keep theirs."""

    valid_from = models.DateField()
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    schools = models.JSONField(default=dict)
    note = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["-valid_from", "-made_at", "-pk"]

    def __str__(self) -> str:
        return _("Lab standard of {day}").format(day=date_format(self.valid_from, _("d M Y")))


class Norm(models.Model):
    """One figure of a lab standard: what is worked to when neither patient nor prescriber says otherwise."""

    standard = models.ForeignKey(LabStandard, on_delete=models.CASCADE, related_name="norms")
    stage_kind = models.CharField(max_length=28, choices=StageKind.choices)
    arch = models.CharField(max_length=12, choices=ArchOrPatient.choices)
    dimension = models.CharField(max_length=60)
    target = models.DecimalField(max_digits=6, decimal_places=2, null=True)
    minus = models.DecimalField(max_digits=5, decimal_places=2, null=True)
    plus = models.DecimalField(max_digits=5, decimal_places=2, null=True)
    unit = models.CharField(max_length=8)
    note = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["standard_id", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["standard", "stage_kind", "arch", "dimension"], name="a_standard_has_a_norm_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.dimension} {self.target} {self.unit}"


class Specification(Worded):
    """What one stage's work is made to, as issued. Never changed: new figures make the next revision."""

    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="specifications")
    stage_kind = models.CharField(max_length=28, choices=StageKind.choices)
    revision = models.PositiveSmallIntegerField()
    standard = models.ForeignKey(LabStandard, on_delete=models.PROTECT, null=True, related_name="+")
    rule = models.CharField(max_length=24)
    inputs = models.JSONField(default=dict)
    notes = models.JSONField(default=list)
    issued_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    issued_at = models.DateTimeField()

    class Meta:
        ordering = ["case_id", "stage_kind", "-revision"]
        constraints = [
            models.UniqueConstraint(
                fields=["case", "stage_kind", "revision"], name="a_revision_is_issued_once"
            )
        ]

    def __str__(self) -> str:
        return _("{case} {stage}, revision {number}").format(
            case=self.case, stage=self.get_stage_kind_display(), number=self.revision
        )


class SpecificationLine(Worded):
    specification = models.ForeignKey(Specification, on_delete=models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    arch = models.CharField(max_length=12, choices=ArchOrPatient.choices)
    name = models.CharField(max_length=60)
    label = models.CharField(max_length=120)
    target = models.DecimalField(max_digits=8, decimal_places=3, null=True)
    lower = models.DecimalField(max_digits=8, decimal_places=3, null=True)
    upper = models.DecimalField(max_digits=8, decimal_places=3, null=True)
    unit = models.CharField(max_length=8, blank=True)
    wording = models.TextField(blank=True)
    basis = models.CharField(max_length=16, choices=Basis.choices)
    source = models.TextField()
    why = models.TextField()
    formula = models.TextField(blank=True)
    uncertainty = models.DecimalField(max_digits=8, decimal_places=4, null=True)
    measurable = models.BooleanField(default=True)

    class Meta:
        ordering = ["specification_id", "position"]
        constraints = [
            models.UniqueConstraint(
                fields=["specification", "arch", "name"], name="a_specification_has_a_line_once"
            ),
            models.CheckConstraint(
                condition=(Q(lower__isnull=True) | Q(target__isnull=True) | Q(lower__lte=F("target")))
                & (Q(upper__isnull=True) | Q(target__isnull=True) | Q(upper__gte=F("target"))),
                name="a_target_lies_between_its_limits",
            ),
        ]

    def __str__(self) -> str:
        return f"{Words(self.label)}, {Words(self.arch)}"


class PrescribedDimension(models.Model):
    """A dimension the clinician wrote. A later row for the same dimension goes before it; none is changed."""

    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="prescribed")
    stage_kind = models.CharField(max_length=28, choices=StageKind.choices)
    arch = models.CharField(max_length=12, choices=ArchOrPatient.choices)
    dimension = models.CharField(max_length=60)
    value = models.DecimalField(
        max_digits=6, decimal_places=2, null=True, help_text="Empty takes an earlier prescription back."
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["case_id", "at", "pk"]

    def __str__(self) -> str:
        return f"{self.case} {self.dimension} {self.value}"


class Reading(Worded):
    """One figure as it was taken: one to three repeats, their mean, and what the check said then.

    Never changed and never deleted: a correction is a further reading that supersedes this one, with a reason.
    """

    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="readings")
    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="readings")
    quantity = models.CharField(max_length=60)
    arch = models.CharField(max_length=12, choices=ArchOrPatient.choices, blank=True)
    repeats = models.JSONField(help_text="One to three decimal texts, as they were taken.")
    value = models.DecimalField(max_digits=8, decimal_places=3, help_text="Mean of the repeats.")
    uncertainty = models.DecimalField(max_digits=8, decimal_places=4, null=True)
    unit = models.CharField(max_length=8)
    instrument = models.CharField(max_length=40)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    measured_at = models.DateTimeField()
    entered_at = models.DateTimeField()
    supersedes = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="superseded_by"
    )
    reason = models.CharField(max_length=400, blank=True)
    line = models.ForeignKey(
        SpecificationLine, on_delete=models.PROTECT, null=True, blank=True, related_name="readings"
    )
    verdict = models.CharField(max_length=16, choices=Verdict.choices, blank=True)
    verdict_words = models.CharField(max_length=400, blank=True)

    objects = ReadingQuerySet.as_manager()

    class Meta:
        ordering = ["case_id", "measured_at", "pk"]
        indexes = [
            models.Index(fields=["case", "quantity"], name="reading_by_case_and_quantity"),
            # SQLite takes the index of the key itself for useless, since nearly all rows of it are empty.
            models.Index(
                fields=["supersedes"],
                condition=Q(supersedes__isnull=False),
                name="reading_by_what_it_corrects",
            ),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(supersedes__isnull=True) | ~Q(reason=""), name="a_correction_has_a_reason"
            ),
            models.CheckConstraint(
                condition=Q(verdict="") | Q(line__isnull=False), name="a_verdict_is_about_a_line"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} {self.value} {self.unit}"


class MouldList(models.Model):
    """The laboratory's tooth moulds as one import brought them. A further import makes the next list."""

    number = models.PositiveSmallIntegerField(unique=True)
    imported_at = models.DateTimeField()
    imported_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["-number"]
        constraints = [models.CheckConstraint(condition=Q(number__gte=1), name="mould_lists_count_from_one")]

    def __str__(self) -> str:
        return _("Mould list {number}").format(number=self.number)


class Mould(models.Model):
    """One mould of a list, mm; empty where the list says nothing."""

    list = models.ForeignKey(MouldList, on_delete=models.CASCADE, related_name="moulds")
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=60)
    six_anterior_width = models.DecimalField(max_digits=5, decimal_places=2, null=True)
    central_width = models.DecimalField(max_digits=5, decimal_places=2, null=True)
    central_length = models.DecimalField(max_digits=5, decimal_places=2, null=True)
    posterior_sum = models.DecimalField(max_digits=5, decimal_places=2, null=True)

    class Meta:
        ordering = ["list_id", "position"]
        constraints = [
            models.UniqueConstraint(fields=["list", "name"], name="a_list_has_a_mould_once"),
            models.UniqueConstraint(fields=["list", "position"], name="a_place_in_a_list_is_taken_once"),
        ]

    def __str__(self) -> str:
        return self.name
