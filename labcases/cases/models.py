from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext as _

from labcases.cases.choices import (
    WORK_STATES,
    Act,
    Arches,
    CaseKind,
    CaseState,
    DayOrder,
    ImportState,
    ImpressionMaterial,
    LineState,
    Location,
    Place,
    ReturnCause,
    Sex,
    StageKind,
    StageState,
)
from labcases.cases.indexes import BeginningIndex
from labcases.cases.querysets import CaseQuerySet, StageQuerySet
from labcases.people.choices import Worded
from labcases.people.models import Practice


class NumberSeries(models.Model):
    """The last running number given out in a year; the lock on its row is what makes numbers unique."""

    year = models.PositiveSmallIntegerField(unique=True)
    last = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.year}: {self.last}"


class Case(Worded):
    number = models.CharField(max_length=12, unique=True)
    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="cases")
    prescriber = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="cases", null=True, blank=True
    )
    order_number = models.CharField(
        max_length=40, blank=True, help_text="The practice's own number of this order, if it gives one."
    )
    patient_code = models.CharField(max_length=24, blank=True)
    patient_age = models.PositiveSmallIntegerField(null=True, blank=True)
    patient_sex = models.CharField(max_length=8, choices=Sex.choices, blank=True)
    kind = models.CharField(max_length=12, choices=CaseKind.choices, default=CaseKind.COMPLETE)
    arches = models.CharField(max_length=12, choices=Arches.choices, default=Arches.BOTH)
    work_description = models.TextField(max_length=2000, blank=True)
    impression_material = models.CharField(max_length=24, choices=ImpressionMaterial.choices, blank=True)
    base_material = models.CharField(max_length=120, blank=True)
    shade = models.CharField(max_length=40, blank=True)
    tooth_wishes = models.CharField(max_length=400, blank=True)
    subcontractor = models.CharField(max_length=120, blank=True)
    notes = models.TextField(max_length=4000, blank=True)

    signed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    signed_at = models.DateTimeField(null=True, blank=True)

    state = models.CharField(max_length=12, choices=CaseState.choices, default=CaseState.INCOMPLETE)
    location = models.CharField(max_length=16, choices=Location.choices, default=Location.TO_LABORATORY)
    current_stage = models.ForeignKey(
        "cases.Stage", on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    completed_at = models.DateTimeField(null=True, blank=True)
    # Where its log ends; see chain.py.
    log_length = models.PositiveIntegerField(default=0, editable=False)
    log_digest = models.CharField(max_length=64, default="", editable=False)
    version = models.PositiveIntegerField(default=1)

    objects = CaseQuerySet.as_manager()

    class Meta:
        ordering = ["-opened_at", "-pk"]
        # Each list of the archive is read from one index, in its order, and stops after a page.
        indexes = [
            models.Index(fields=["-opened_at", "-id"], name="case_by_opening"),
            models.Index(fields=["state", "-opened_at", "-id"], name="case_by_state"),
            models.Index(fields=["location", "-opened_at", "-id"], name="case_by_place"),
            models.Index(fields=["practice", "-opened_at", "-id"], name="case_by_practice"),
            models.Index(fields=["prescriber", "-opened_at", "-id"], name="case_by_prescriber"),
            models.Index(fields=["practice", "-completed_at"], name="completed_case_by_practice"),
            models.Index(fields=["patient_code"], name="case_by_patient_code"),
            BeginningIndex(fields=["patient_code"], name="case_by_code_begun"),
            BeginningIndex(fields=["number"], name="case_by_number_begun"),
            BeginningIndex(fields=["order_number"], name="case_by_order_begun"),
            models.Index(
                fields=["practice", "state"],
                name="open_case_by_practice",
                condition=Q(state__in=[CaseState.OPEN, CaseState.INCOMPLETE]),
            ),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["practice", "order_number"],
                condition=~Q(order_number="") & ~Q(state=CaseState.CANCELLED),
                name="a_practice_s_order_is_taken_in_once",
            ),
            models.CheckConstraint(
                condition=Q(signed_at__isnull=True, signed_by__isnull=True)
                | Q(signed_at__isnull=False, signed_by__isnull=False),
                name="a_signature_has_a_person_and_a_time",
            ),
            models.CheckConstraint(
                condition=Q(patient_age__isnull=True) | Q(patient_age__lte=120),
                name="an_age_in_years_is_at_most_120",
            ),
            models.CheckConstraint(
                condition=Q(state=CaseState.COMPLETE, completed_at__isnull=False)
                | (~Q(state=CaseState.COMPLETE) & Q(completed_at__isnull=True)),
                name="a_complete_case_has_a_time",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def arch_names(self) -> tuple[str, ...]:
        return Arches(self.arches).each

    @property
    def is_open(self) -> bool:
        return self.state in (CaseState.OPEN, CaseState.INCOMPLETE)


class Return(Worded):
    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="returns")
    from_stage = models.ForeignKey("cases.Stage", on_delete=models.PROTECT, related_name="returns_from")
    to_stage = models.ForeignKey("cases.Stage", on_delete=models.PROTECT, related_name="returns_to")
    visit = models.PositiveSmallIntegerField()
    cause = models.CharField(max_length=24, choices=ReturnCause.choices)
    note = models.TextField(max_length=2000, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["case", "visit"], name="one_return_opens_one_visit"),
        ]

    def __str__(self) -> str:
        return f"{self.case}: {self.get_cause_display()}"


class Stage(Worded):
    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="stages")
    kind = models.CharField(max_length=28, choices=StageKind.choices)
    place = models.CharField(max_length=12, choices=Place.choices)
    visit = models.PositiveSmallIntegerField(default=1)
    position = models.IntegerField()
    state = models.CharField(max_length=12, choices=StageState.choices, default=StageState.WAITING)
    assignee = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="stages", null=True, blank=True
    )
    planned_on = models.DateField(null=True, blank=True)
    due_on = models.DateField(null=True, blank=True)
    started_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    finished_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    hold_reason = models.CharField(max_length=400, blank=True)
    outcome = models.TextField(max_length=4000, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = StageQuerySet.as_manager()

    class Meta:
        ordering = ["case_id", "position"]
        indexes = [
            models.Index(fields=["-finished_at"], name="stage_by_finish"),
            models.Index(
                fields=["assignee", "due_on"],
                name="open_stage_by_assignee",
                condition=Q(state__in=["waiting", "in_progress", "on_hold"]),
            ),
            models.Index(
                fields=["due_on"],
                name="open_stage_by_due",
                condition=Q(state__in=["waiting", "in_progress", "on_hold"]),
            ),
        ]
        constraints = [
            models.UniqueConstraint(fields=["case", "position"], name="one_stage_at_a_position"),
            models.UniqueConstraint(fields=["case", "kind", "visit"], name="one_stage_of_a_kind_in_a_visit"),
            models.UniqueConstraint(
                fields=["case"], condition=Q(state__in=WORK_STATES), name="one_stage_of_a_case_is_at_work"
            ),
            models.CheckConstraint(
                condition=~Q(state=StageState.ON_HOLD) | ~Q(hold_reason=""), name="a_hold_has_a_reason"
            ),
            models.CheckConstraint(
                condition=~Q(state__in=[StageState.DONE, StageState.RETURNED])
                | Q(finished_at__isnull=False, finished_by__isnull=False),
                name="a_finished_stage_has_a_person_and_a_time",
            ),
            models.CheckConstraint(
                condition=Q(finished_at__isnull=True)
                | Q(started_at__isnull=True)
                | Q(finished_at__gte=F("started_at")),
                name="a_stage_ends_after_it_starts",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.case.number} {self.label}"

    @property
    def label(self) -> str:
        name = str(self.get_kind_display())
        if self.visit == 1:
            return name
        return _("{stage}, visit {number}").format(stage=name, number=self.visit)

    @property
    def is_in_laboratory(self) -> bool:
        return self.place == Place.LABORATORY


class Step(models.Model):
    """One line of a stage's checklist, copied from the laboratory's list when the stage is started."""

    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="steps")
    position = models.PositiveSmallIntegerField()
    text = models.CharField(max_length=300)
    done_at = models.DateTimeField(null=True, blank=True)
    done_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )

    class Meta:
        ordering = ["stage_id", "position"]
        constraints = [
            models.UniqueConstraint(fields=["stage", "position"], name="one_step_at_a_position"),
            models.CheckConstraint(
                condition=Q(done_at__isnull=True, done_by__isnull=True)
                | Q(done_at__isnull=False, done_by__isnull=False),
                name="a_ticked_step_has_a_person_and_a_time",
            ),
        ]

    def __str__(self) -> str:
        return self.text


class Disinfection(models.Model):
    """What was done to everything that came in from the clinic, before anyone handled it."""

    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="disinfections")
    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="disinfections")
    agent = models.CharField(max_length=120)
    minutes = models.PositiveSmallIntegerField()
    minutes_required = models.PositiveSmallIntegerField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(minutes__gte=F("minutes_required")),
                name="a_disinfection_lasts_as_long_as_its_label_asks",
            )
        ]

    def __str__(self) -> str:
        return f"{self.agent}, {self.minutes} min"


class Event(Worded):
    """The log of a case, a chain of entries (chain.py). Rows are added, never changed: the database refuses it."""

    case = models.ForeignKey(Case, on_delete=models.PROTECT, related_name="events")
    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="events", null=True, blank=True)
    act = models.CharField(max_length=24, choices=Act.choices)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    before = models.JSONField(default=dict, blank=True)
    after = models.JSONField(default=dict, blank=True)
    reason = models.TextField(max_length=2000, blank=True)
    position = models.PositiveIntegerField(editable=False, help_text="From 1 in each case.")
    salt = models.CharField(
        max_length=32, blank=True, editable=False, help_text="Gone once the patient's data were erased."
    )
    covers = models.JSONField(default=dict, blank=True, editable=False, help_text="The rows it stands for.")
    digest = models.CharField(max_length=64, editable=False)

    class Meta:
        ordering = ["at", "pk"]
        indexes = [models.Index(fields=["case", "at"], name="event_by_case")]
        constraints = [
            models.UniqueConstraint(fields=["case", "position"], name="entries_of_a_log_are_numbered")
        ]

    def __str__(self) -> str:
        return f"{self.case} {self.get_act_display()}"


class Untold(models.Model):
    """An event of which its practice may want to hear, until it has been looked at.

    It is written in the transaction of what happened: neither is there without the other.
    """

    event = models.OneToOneField(Event, on_delete=models.CASCADE, related_name="+")

    def __str__(self) -> str:
        return f"{self.event}, untold"


class CaseImport(Worded):
    """A file of prescriptions on its way to becoming cases. `attempt` counts how often work on it was begun,
    so that a worker given up for dead cannot write over its successor."""

    file_name = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64, db_index=True)
    headings = models.JSONField(default=list)
    mapping = models.JSONField(default=list)
    practice = models.ForeignKey(Practice, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    days_as = models.CharField(max_length=12, choices=DayOrder.choices, default=DayOrder.DAY_FIRST)
    state = models.CharField(max_length=12, choices=ImportState.choices, default=ImportState.MAPPING)
    one_by_one = models.BooleanField(default=False)
    with_unusual = models.BooleanField(default=False)
    signed = models.BooleanField(default=False)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    accepted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    attempt = models.PositiveSmallIntegerField(default=0)
    beat_at = models.DateTimeField(null=True, blank=True)
    failure = models.CharField(max_length=400, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-made_at", "-pk"]
        indexes = [models.Index(fields=["-made_at", "-id"], name="file_of_cases_by_time")]

    def __str__(self) -> str:
        return self.file_name


class ImportLine(Worded):
    """One row of the file, by its number there, and what became of it."""

    case_import = models.ForeignKey(CaseImport, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveIntegerField()
    cells = models.JSONField(default=list)
    state = models.CharField(max_length=12, choices=LineState.choices, default=LineState.WAITING)
    faults = models.JSONField(default=list)
    case = models.ForeignKey(Case, on_delete=models.SET_NULL, related_name="+", null=True, blank=True)

    class Meta:
        ordering = ["case_import_id", "position"]
        indexes = [models.Index(fields=["case_import", "state"], name="import_line_by_state")]
        constraints = [
            models.UniqueConstraint(fields=["case_import", "position"], name="a_row_of_a_file_is_there_once")
        ]

    def __str__(self) -> str:
        return _("Row {number}").format(number=self.position)


class ImportHeading(models.Model):
    """What a column of that heading was last said to mean; an empty field means that it is left out."""

    heading = models.CharField(max_length=200, unique=True)
    field = models.CharField(max_length=80, blank=True)

    def __str__(self) -> str:
        return f"{self.heading} → {self.field or 'left out'}"


class PathStep(models.Model):
    """The laboratory's own path for a kind of case; without rows the delivered path holds."""

    case_kind = models.CharField(max_length=12, choices=CaseKind.choices)
    position = models.PositiveSmallIntegerField()
    stage_kind = models.CharField(max_length=28, choices=StageKind.choices)

    class Meta:
        ordering = ["case_kind", "position"]
        constraints = [
            models.UniqueConstraint(fields=["case_kind", "position"], name="one_path_step_at_a_position"),
            models.UniqueConstraint(fields=["case_kind", "stage_kind"], name="a_path_has_a_stage_once"),
        ]

    def __str__(self) -> str:
        return f"{self.get_case_kind_display()}: {self.get_stage_kind_display()}"


class ChecklistStep(models.Model):
    """The laboratory's own checklist for a kind of stage; without rows the usual steps hold."""

    stage_kind = models.CharField(max_length=28, choices=StageKind.choices)
    position = models.PositiveSmallIntegerField()
    text = models.CharField(max_length=300)

    class Meta:
        ordering = ["stage_kind", "position"]
        constraints = [
            models.UniqueConstraint(
                fields=["stage_kind", "position"], name="one_checklist_step_at_a_position"
            )
        ]

    def __str__(self) -> str:
        return self.text
