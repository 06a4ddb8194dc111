from django.db import models
from django.utils.translation import gettext_lazy as _


class Paper(models.TextChoices):
    A4 = "a4", "A4"
    LETTER = "letter", _("US Letter")


class RunState(models.TextChoices):
    """Where the printing of many papers stands."""

    QUEUED = "queued", _("Waiting for the worker")
    RUNNING = "running", _("Being made")
    READY = "ready", _("Made")
    FAILED = "failed", _("Failed")


AT_WORK = (RunState.QUEUED, RunState.RUNNING)
