from django.conf import settings
from django.db import models
from django.db.models import Q


class Worker(models.Model):
    """A process that does background jobs, and when it last said that it lives."""

    worker_id = models.CharField(max_length=64, unique=True)
    started_at = models.DateTimeField()
    seen_at = models.DateTimeField()

    class Meta:
        ordering = ["-seen_at"]

    def __str__(self) -> str:
        return f"{self.worker_id}, seen {self.seen_at:%Y-%m-%d %H:%M}"


class Backup(models.Model):
    """One try at the backup of a day: begun, then verified or failed; the file may have made room for later ones."""

    day = models.DateField()
    attempt = models.PositiveSmallIntegerField(default=1)
    started_at = models.DateTimeField()
    file_name = models.CharField(max_length=80)
    verified_at = models.DateTimeField(null=True, blank=True)
    row_count = models.PositiveBigIntegerField(default=0)
    size = models.PositiveBigIntegerField(default=0)
    failure = models.CharField(max_length=400, blank=True)
    removed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-started_at", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["day", "attempt"], name="a_try_at_a_day_s_backup_is_made_once"),
            models.CheckConstraint(
                condition=Q(verified_at__isnull=True) | Q(failure=""), name="a_verified_backup_did_not_fail"
            ),
        ]

    def __str__(self) -> str:
        return self.file_name


class LastWrite(models.Model):
    """Up to where a replica must have replayed the primary's log before it shows a person what they wrote themselves.

    Kept only where lists are read from a replica. `position` is in bytes from the log's beginning and never goes back.
    """

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, primary_key=True, related_name="+"
    )
    position = models.BigIntegerField()

    def __str__(self) -> str:
        return f"{self.user}, at {self.position}"
