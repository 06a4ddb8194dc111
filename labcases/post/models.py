from django.conf import settings
from django.db import models
from django.db.models import Q

from labcases.cases.models import Case, Event
from labcases.post.choices import NOT_SENT, LetterState, News, Rhythm


class Subscription(models.Model):
    """What letters a person wants, and where to; without a row none."""

    person = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="subscription"
    )
    address = models.EmailField(blank=True)
    rhythm = models.CharField(max_length=12, choices=Rhythm.choices, default=Rhythm.NEVER)
    whole_practice = models.BooleanField(default=False)
    # The day whose morning letter was written; none before the first morning.
    gathered_on = models.DateField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(rhythm=Rhythm.NEVER) | ~Q(address=""), name="letters_need_an_address"
            )
        ]

    def __str__(self) -> str:
        return f"{self.person}: {self.get_rhythm_display().lower()}"


class Letter(models.Model):
    """An e-mail to be sent until it is sent. Its words are made from its lines when it goes out."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="letters")
    address = models.EmailField()
    subject = models.CharField(max_length=200)
    state = models.CharField(max_length=12, choices=LetterState.choices, default=LetterState.WAITING)
    # The same at every try, so that a mailbox can tell a letter that it was given twice.
    message_id = models.UUIDField(unique=True)
    written_at = models.DateTimeField()
    next_try_at = models.DateTimeField()
    tries = models.PositiveSmallIntegerField(default=0)
    failure = models.CharField(max_length=200, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    settled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-written_at", "-pk"]
        indexes = [
            models.Index(fields=["-written_at", "-id"], name="letter_by_writing"),
            models.Index(
                fields=["written_at", "id"], name="letter_not_sent", condition=Q(state__in=NOT_SENT)
            ),
            models.Index(
                fields=["next_try_at"], name="letter_that_waits", condition=Q(state=LetterState.WAITING)
            ),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(state=LetterState.SENT, sent_at__isnull=False)
                | (~Q(state=LetterState.SENT) & Q(sent_at__isnull=True)),
                name="a_sent_letter_has_a_time",
            )
        ]

    def __str__(self) -> str:
        return f"{self.subject}, to {self.person}"


class Line(models.Model):
    """One piece of news for one person; without a letter it waits for the morning's."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    letter = models.ForeignKey(Letter, on_delete=models.CASCADE, related_name="lines", null=True, blank=True)
    case = models.ForeignKey(Case, on_delete=models.CASCADE, related_name="+")
    event = models.ForeignKey(Event, on_delete=models.CASCADE, related_name="+", null=True, blank=True)
    news = models.CharField(max_length=12, choices=News.choices)
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["person", "event"], name="a_person_is_told_of_an_event_once")
        ]

    def __str__(self) -> str:
        return f"{self.case} {self.get_news_display()}"


class CaseLink(models.Model):
    """An address in a letter that leads to one case, once and for a while; only its digest is kept."""

    digest = models.CharField(max_length=64, unique=True)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    case = models.ForeignKey(Case, on_delete=models.CASCADE, related_name="+")
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField(db_index=True)
    used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(expires_at__gt=models.F("made_at")), name="a_link_ends_after_it_begins"
            )
        ]

    def __str__(self) -> str:
        return f"Link of {self.person} to {self.case}"
