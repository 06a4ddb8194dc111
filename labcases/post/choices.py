from django.db import models


class Rhythm(models.TextChoices):
    """How often a person wants to hear from us."""

    NEVER = "never", "No letters"
    AT_ONCE = "at_once", "One for each case, at once"
    DAILY = "daily", "One a day, in the morning"


class News(models.TextChoices):
    """What a clinician is told of a case, as a sentence goes on after its number."""

    ON_ITS_WAY = "on_its_way", "is on its way to you"
    INCOMPLETE = "incomplete", "needs you: its prescription is incomplete"
    ON_HOLD = "on_hold", "is on hold at the laboratory and may need your answer"
    WAITS = "waits", "waits for you: the day of its appointment has passed"


class LetterState(models.TextChoices):
    WAITING = "waiting", "Waiting"
    SENT = "sent", "Sent"
    GIVEN_UP = "given_up", "Not delivered"
    DROPPED = "dropped", "Dropped"


NOT_SENT = (LetterState.WAITING, LetterState.GIVEN_UP)
