from django.db import models
from django.utils.translation import gettext_lazy as _


class Rhythm(models.TextChoices):
    """How often a person wants to hear from us."""

    NEVER = "never", _("No letters")
    AT_ONCE = "at_once", _("One for each case, at once")
    DAILY = "daily", _("One a day, in the morning")


class News(models.TextChoices):
    """What a clinician is told of a case, as a sentence goes on after its number."""

    ON_ITS_WAY = "on_its_way", _("is on its way to you")
    INCOMPLETE = "incomplete", _("needs you: its prescription is incomplete")
    ON_HOLD = "on_hold", _("is on hold at the laboratory and may need your answer")
    WAITS = "waits", _("waits for you: the day of its appointment has passed")


class LetterState(models.TextChoices):
    WAITING = "waiting", _("Waiting")
    SENT = "sent", _("Sent")
    GIVEN_UP = "given_up", _("Not delivered")
    DROPPED = "dropped", _("Dropped")


NOT_SENT = (LetterState.WAITING, LetterState.GIVEN_UP)
