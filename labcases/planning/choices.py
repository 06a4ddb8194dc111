from django.db import models
from django.utils.translation import gettext_lazy as _


class Weekday(models.IntegerChoices):
    MONDAY = 0, _("Monday")
    TUESDAY = 1, _("Tuesday")
    WEDNESDAY = 2, _("Wednesday")
    THURSDAY = 3, _("Thursday")
    FRIDAY = 4, _("Friday")
    SATURDAY = 5, _("Saturday")
    SUNDAY = 6, _("Sunday")


class ClosedFor(models.TextChoices):
    PUBLIC_HOLIDAY = "public_holiday", _("Public holiday")
    OWN = "own", _("The laboratory's own")


class ProposalState(models.TextChoices):
    QUEUED = "queued", _("Waiting to be improved")
    RUNNING = "running", _("Being improved")
    READY = "ready", _("Ready to be decided")
    FAILED = "failed", _("Improving failed")
    DECIDED = "decided", _("Decided")


# A proposal in one of these can be accepted; what was there at once is as good as a plan as the improved one.
OPEN_PROPOSALS = (ProposalState.QUEUED, ProposalState.RUNNING, ProposalState.READY, ProposalState.FAILED)
AT_WORK = (ProposalState.QUEUED, ProposalState.RUNNING)


class LineState(models.TextChoices):
    KEPT = "kept", _("Stays as it is")
    PROPOSED = "proposed", _("Proposed")
    ACCEPTED = "accepted", _("Accepted")
    DECLINED = "declined", _("Not taken")
    STALE = "stale", _("Changed since")
