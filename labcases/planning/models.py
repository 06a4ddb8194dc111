import datetime

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from labcases.cases.choices import StageKind
from labcases.cases.models import Case, Stage
from labcases.people.models import Practice
from labcases.planning.choices import ClosedFor, LineState, ProposalState, Weekday
from labcases.planning.scheduling.times import SKILLS

MIDNIGHT = datetime.time(0)


class LaboratoryCalendar(models.Model):
    """Where the laboratory is, for its public holidays; its version guards all of its week and closed days."""

    country = models.CharField(max_length=2, blank=True)
    region = models.CharField(max_length=12, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(pk=1), name="there_is_one_calendar")]

    def __str__(self) -> str:
        return " ".join(filter(None, (self.country, self.region))) or "no country set"


class OpeningHours(models.Model):
    """One opening of a weekday: the laboratory's, or one person's own who works other hours.

    Closing at 00:00 means the end of the day.
    """

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+", null=True, blank=True
    )
    weekday = models.PositiveSmallIntegerField(choices=Weekday.choices)
    opens = models.TimeField()
    closes = models.TimeField()

    class Meta:
        ordering = ["person_id", "weekday", "opens"]
        constraints = [
            models.CheckConstraint(
                condition=Q(closes__gt=F("opens")) | Q(closes=MIDNIGHT),
                name="an_opening_ends_after_it_begins",
            ),
            models.CheckConstraint(condition=Q(weekday__lte=6), name="a_week_has_seven_days"),
            models.UniqueConstraint(
                fields=["person", "weekday", "opens"], name="a_person_s_openings_of_a_day_begin_apart"
            ),
            models.UniqueConstraint(
                fields=["weekday", "opens"],
                condition=Q(person__isnull=True),
                name="the_laboratory_s_openings_of_a_day_begin_apart",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.opens:%H:%M}–{self.closes:%H:%M}"


class ClosedDay(models.Model):
    """A day on which the laboratory does not work; with `worked`, a public holiday on which it does."""

    day = models.DateField(unique=True)
    reason = models.CharField(max_length=120)
    origin = models.CharField(max_length=16, choices=ClosedFor.choices, default=ClosedFor.OWN)
    worked = models.BooleanField(default=False)

    class Meta:
        ordering = ["day"]

    def __str__(self) -> str:
        return f"{self.day}: {self.reason}"


class Absence(models.Model):
    """Days on which a person is away, or hours of each. No reason is kept: it is nobody's business."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="absences")
    first_day = models.DateField()
    last_day = models.DateField()
    from_time = models.TimeField(null=True, blank=True)
    until_time = models.TimeField(null=True, blank=True)

    class Meta:
        ordering = ["first_day", "person_id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")), name="an_absence_ends_no_earlier_than_it_begins"
            ),
            models.CheckConstraint(
                condition=Q(from_time__isnull=True, until_time__isnull=True)
                | Q(from_time__isnull=False, until_time__gt=F("from_time")),
                name="an_absence_of_hours_has_both_ends",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} {self.first_day} to {self.last_day}"


class Transport(models.Model):
    """How a practice's work travels. Without a row it goes out every working day and arrives that day."""

    practice = models.OneToOneField(Practice, on_delete=models.CASCADE, related_name="transport")
    transit_days = models.PositiveSmallIntegerField(default=0)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(transit_days__lte=10), name="a_way_takes_at_most_ten_days")
        ]

    def __str__(self) -> str:
        return f"{self.practice}: {self.transit_days} days on the way"


class CollectionDay(models.Model):
    transport = models.ForeignKey(Transport, on_delete=models.CASCADE, related_name="collection_days")
    weekday = models.PositiveSmallIntegerField(choices=Weekday.choices)
    cut_off = models.TimeField()

    class Meta:
        ordering = ["transport_id", "weekday"]
        constraints = [
            models.UniqueConstraint(fields=["transport", "weekday"], name="one_collection_on_a_weekday")
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.cut_off:%H:%M}"


class StandardTime(models.Model):
    """The laboratory's own time for a kind of stage; without a row the delivered starting value holds."""

    stage_kind = models.CharField(max_length=28, choices=StageKind.choices, unique=True)
    hands_on_minutes = models.PositiveIntegerField()
    waiting_minutes = models.PositiveIntegerField(default=0)
    finishing_minutes = models.PositiveIntegerField(default=0)
    lab_days = models.PositiveSmallIntegerField()
    one_arch_percent = models.PositiveSmallIntegerField(default=60)
    skill = models.CharField(max_length=24, choices=list(SKILLS.items()))
    adopted_from = models.PositiveIntegerField(
        null=True, blank=True, help_text="From how many finished stages it was adopted."
    )
    changed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    changed_at = models.DateTimeField()
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["stage_kind"]
        constraints = [
            models.CheckConstraint(
                condition=Q(hands_on_minutes__range=(1, 10_000), waiting_minutes__lte=10_000)
                & Q(finishing_minutes__lte=10_000, lab_days__lte=60)
                & Q(one_arch_percent__range=(10, 100)),
                name="a_standard_time_is_possible",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_stage_kind_display()}: {self.hands_on_minutes + self.finishing_minutes} min"


class PersonSkill(models.Model):
    """A skill that a person has. A technician without any row has them all, a manager then has none."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="skills")
    skill = models.CharField(max_length=24, choices=list(SKILLS.items()))

    class Meta:
        ordering = ["person_id", "skill"]
        constraints = [models.UniqueConstraint(fields=["person", "skill"], name="a_person_has_a_skill_once")]

    def __str__(self) -> str:
        return f"{self.person}: {self.get_skill_display()}"


class CaseWeight(models.Model):
    """How bad a day of lateness of a case is, compared with a usual case (1)."""

    case = models.OneToOneField(Case, on_delete=models.CASCADE, related_name="weight")
    weight = models.PositiveSmallIntegerField()

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(weight__range=(1, 9)), name="a_weight_is_from_1_to_9")
        ]

    def __str__(self) -> str:
        return f"{self.case}: {self.weight}"


class PlannedWork(models.Model):
    """When a given stage is planned to be done. `pinned` work stays where a manager put it.

    It says something only while the stage's assignee is still `person`.
    """

    stage = models.OneToOneField(Stage, on_delete=models.CASCADE, related_name="planned_work")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    starts_at = models.DateTimeField(null=True, blank=True)
    ends_at = models.DateTimeField(null=True, blank=True)
    pinned = models.BooleanField(default=False)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["starts_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(starts_at__isnull=True, ends_at__isnull=True)
                | Q(starts_at__isnull=False, ends_at__gt=F("starts_at")),
                name="planned_work_ends_after_it_starts",
            )
        ]

    def __str__(self) -> str:
        return f"{self.stage} by {self.person}"


class Proposal(models.Model):
    """A plan for the next working days, for a manager to accept whole, in part or not at all.

    Costs are weighted working days of lateness. `attempt` counts how often improving was begun, so that a
    worker given up for dead cannot write over its successor.
    """

    state = models.CharField(max_length=12, choices=ProposalState.choices, default=ProposalState.QUEUED)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    asked_at = models.DateTimeField()
    first_day = models.DateField()
    last_day = models.DateField()
    seconds = models.PositiveSmallIntegerField(default=10)
    attempt = models.PositiveSmallIntegerField(default=1)
    beat_at = models.DateTimeField(null=True, blank=True)
    progress_seconds = models.FloatField(default=0)
    stop_asked_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    greedy_cost = models.PositiveIntegerField(default=0)
    cost = models.PositiveIntegerField(default=0)
    bound = models.PositiveIntegerField(default=0)
    failure = models.CharField(max_length=400, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(last_day__gte=F("first_day")), name="a_proposal_has_days_in_order"
            ),
            models.CheckConstraint(condition=Q(seconds__range=(1, 600)), name="a_search_has_an_end"),
        ]

    def __str__(self) -> str:
        return f"Proposal of {self.asked_at:%Y-%m-%d %H:%M}"


class ProposalCase(models.Model):
    """What a proposal means for one case's way to its next appointment, in plain figures and words."""

    proposal = models.ForeignKey(Proposal, on_delete=models.CASCADE, related_name="cases")
    case = models.ForeignKey(Case, on_delete=models.CASCADE, related_name="+")
    position = models.PositiveIntegerField()
    wanted_on = models.DateField(null=True, blank=True)
    due_at = models.DateTimeField(null=True, blank=True)
    ready_at = models.DateTimeField(null=True, blank=True)
    first_day = models.DateField(null=True, blank=True)
    slack_minutes = models.IntegerField(null=True, blank=True)
    late_days = models.PositiveSmallIntegerField(default=0)
    weight = models.PositiveSmallIntegerField(default=1)
    cause = models.CharField(max_length=24)
    skill = models.CharField(max_length=24, blank=True)
    words = models.CharField(max_length=600)
    let_go = models.BooleanField(default=False)

    class Meta:
        ordering = ["proposal_id", "position"]
        constraints = [
            models.UniqueConstraint(fields=["proposal", "position"], name="one_case_at_a_proposal_s_position")
        ]

    def __str__(self) -> str:
        return f"{self.case}: {self.words}"


class ProposalLine(models.Model):
    """One stage in a proposal: who and when. `stage_version` is the stage as the planner saw it."""

    proposal = models.ForeignKey(Proposal, on_delete=models.CASCADE, related_name="lines")
    proposal_case = models.ForeignKey(ProposalCase, on_delete=models.CASCADE, related_name="lines")
    stage = models.ForeignKey(Stage, on_delete=models.CASCADE, related_name="+")
    stage_version = models.PositiveIntegerField()
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    state = models.CharField(max_length=12, choices=LineState.choices, default=LineState.PROPOSED)

    class Meta:
        ordering = ["starts_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["proposal", "stage"], name="a_stage_is_proposed_once"),
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")), name="a_proposed_line_ends_after_it_starts"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.stage} by {self.person}"


class CalendarFeed(models.Model):
    """An address under which a calendar program reads one person's or one practice's days, until revoked."""

    token = models.CharField(max_length=64, unique=True)
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+", null=True, blank=True
    )
    practice = models.ForeignKey(Practice, on_delete=models.CASCADE, related_name="+", null=True, blank=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(person__isnull=False, practice__isnull=True)
                | Q(person__isnull=True, practice__isnull=False),
                name="a_feed_is_a_person_s_or_a_practice_s",
            ),
            models.UniqueConstraint(
                fields=["person"], condition=Q(revoked_at__isnull=True), name="one_open_feed_of_a_person"
            ),
            models.UniqueConstraint(
                fields=["practice"], condition=Q(revoked_at__isnull=True), name="one_open_feed_of_a_practice"
            ),
        ]

    def __str__(self) -> str:
        return f"Calendar feed of {self.person or self.practice}"
