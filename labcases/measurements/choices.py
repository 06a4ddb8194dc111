from django.db import models

from labcases.prosthodontics import conformity
from labcases.prosthodontics.specification import lines


class ArchOrPatient(models.TextChoices):
    """Which arch a figure belongs to; empty for a figure of the patient, such as a vertical dimension."""

    MAXILLARY = "maxillary", "Maxillary"
    MANDIBULAR = "mandibular", "Mandibular"
    PATIENT = "", "Patient"


class Basis(models.TextChoices):
    PRESCRIBED = lines.Basis.PRESCRIBED.value, "Prescribed"
    COMPUTED = lines.Basis.COMPUTED.value, "Computed"
    STANDARD = lines.Basis.STANDARD.value, "Lab standard"


class Verdict(models.TextChoices):
    WITHIN = conformity.Verdict.WITHIN.value, "Within"
    OUTSIDE = conformity.Verdict.OUTSIDE.value, "Outside"
    MEASURE_AGAIN = conformity.Verdict.MEASURE_AGAIN.value, "Measure again"


class ForMany(models.TextChoices):
    """What can be done to many cases at once, since it asks nothing of each that differs."""

    RECEIVE = "receive", "Receive"
    START = "start", "Start"
    FINISH = "finish", "Finish"
    HAND_OVER = "hand_over", "Hand over"


class ChairDecision(models.TextChoices):
    """What becomes of the work once a clinic stage is recorded."""

    ONWARD = "onward", "Send it on"
    AGAIN = "again", "Send it back to be done again"
    STAYS = "stays", "Not finished: keep what is written, the work stays at the clinic"
