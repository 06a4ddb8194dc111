from django.db import models
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from labcases.prosthodontics import conformity
from labcases.prosthodontics.specification import lines


class ArchOrPatient(models.TextChoices):
    """Which arch a figure belongs to; empty for a figure of the patient, such as a vertical dimension."""

    MAXILLARY = "maxillary", _("Maxillary")
    MANDIBULAR = "mandibular", _("Mandibular")
    PATIENT = "", _("Patient")


class Basis(models.TextChoices):
    PRESCRIBED = lines.Basis.PRESCRIBED.value, _("Prescribed")
    COMPUTED = lines.Basis.COMPUTED.value, _("Computed")
    STANDARD = lines.Basis.STANDARD.value, _("Lab standard")


class Verdict(models.TextChoices):
    WITHIN = conformity.Verdict.WITHIN.value, _("Within")
    OUTSIDE = conformity.Verdict.OUTSIDE.value, _("Outside")
    MEASURE_AGAIN = conformity.Verdict.MEASURE_AGAIN.value, _("Measure again")


class ForMany(models.TextChoices):
    """What can be done to many cases at once, since it asks nothing of each that differs."""

    RECEIVE = "receive", _("Receive")
    START = "start", pgettext_lazy("work", "Start")
    FINISH = "finish", _("Finish")
    HAND_OVER = "hand_over", _("Hand over")


class ChairDecision(models.TextChoices):
    """What becomes of the work once a clinic stage is recorded."""

    ONWARD = "onward", _("Send it on")
    AGAIN = "again", _("Send it back to be done again")
    STAYS = "stays", _("Not finished: keep what is written, the work stays at the clinic")
