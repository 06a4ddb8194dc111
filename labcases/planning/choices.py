from django.db import models


class Weekday(models.IntegerChoices):
    MONDAY = 0, "Monday"
    TUESDAY = 1, "Tuesday"
    WEDNESDAY = 2, "Wednesday"
    THURSDAY = 3, "Thursday"
    FRIDAY = 4, "Friday"
    SATURDAY = 5, "Saturday"
    SUNDAY = 6, "Sunday"


class ClosedFor(models.TextChoices):
    PUBLIC_HOLIDAY = "public_holiday", "Public holiday"
    OWN = "own", "The laboratory's own"


class ProposalState(models.TextChoices):
    QUEUED = "queued", "Waiting to be improved"
    RUNNING = "running", "Being improved"
    READY = "ready", "Ready to be decided"
    FAILED = "failed", "Improving failed"
    DECIDED = "decided", "Decided"


# A proposal in one of these can be accepted; what was there at once is as good as a plan as the improved one.
OPEN_PROPOSALS = (ProposalState.QUEUED, ProposalState.RUNNING, ProposalState.READY, ProposalState.FAILED)
AT_WORK = (ProposalState.QUEUED, ProposalState.RUNNING)


class LineState(models.TextChoices):
    KEPT = "kept", "Stays as it is"
    PROPOSED = "proposed", "Proposed"
    ACCEPTED = "accepted", "Accepted"
    DECLINED = "declined", "Not taken"
    STALE = "stale", "Changed since"
