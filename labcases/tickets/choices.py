from django.db import models


class Paper(models.TextChoices):
    A4 = "a4", "A4"
    LETTER = "letter", "US Letter"


class RunState(models.TextChoices):
    """Where the printing of many papers stands."""

    QUEUED = "queued", "Waiting for the worker"
    RUNNING = "running", "Being made"
    READY = "ready", "Made"
    FAILED = "failed", "Failed"


AT_WORK = (RunState.QUEUED, RunState.RUNNING)
