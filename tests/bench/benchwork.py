"""Cases that lie at the bench, and forms as its pages send them."""

import datetime
import html
import itertools
import re

from django.utils import timezone

from labcases.cases.actions.assigning import assign
from labcases.cases.actions.crossings import receive_at_laboratory
from labcases.cases.actions.moves import start_stage
from labcases.cases.choices import StageKind
from labcases.cases.models import Case, Stage
from tests.factories.cases import taken_in_case
from tests.factories.people import ManagerFactory, TechnicianFactory

KEYS = itertools.count(1)


def an_hour_ago():
    return timezone.now() - datetime.timedelta(hours=1)


def seen(stage):
    """The stage as a page has just read it."""
    return Stage.objects.with_case().get(pk=stage.pk)


def coming_case(*, kind=StageKind.OCCLUSION_RIMS, **prescription):
    """A case on its way to the laboratory, complete on paper."""
    return taken_in_case(starts_at=kind, now=an_hour_ago(), **prescription)


def waiting_stage(*, kind=StageKind.OCCLUSION_RIMS, to=None, **prescription):
    """A stage that can be started: its case was received."""
    case = coming_case(kind=kind, **prescription)
    receive_at_laboratory(
        case=case,
        agent="Disinfectant A",
        minutes=10,
        minutes_required=10,
        by=TechnicianFactory(),
        now=an_hour_ago(),
    )
    stage = seen(Case.objects.get(pk=case.pk).current_stage)
    if to:
        assign(stages=[(stage, stage.version)], to=to, by=ManagerFactory(), now=an_hour_ago())
    return seen(stage)


def stage_at_work(*, by, kind=StageKind.OCCLUSION_RIMS, **prescription):
    stage = waiting_stage(kind=kind, to=by, **prescription)
    start_stage(stage=stage, by=by, expected_version=stage.version, now=an_hour_ago())
    return seen(stage)


def form(stage=None, **fields):
    """A form as a page sends it, with a key of its own; dashes of field names are written as double underscores."""
    sent = {
        "one_time_key": f"key-{next(KEYS)}",
        "instrument_mm": "digital_caliper",
        "instrument_deg": "protractor",
    }
    if stage is not None:
        sent["version"] = stage.version
    return {**sent, **{name.replace("__", "-"): value for name, value in fields.items()}}


def text(response):
    """What the page says, without its markup."""
    bare = re.sub(r"<[^>]+>", " ", response.content.decode())
    return " ".join(html.unescape(bare).split())
