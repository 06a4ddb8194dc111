"""A case at a stage of the laboratory, and figures as they are taken there."""

import datetime

from labcases.cases.actions.crossings import receive_at_laboratory
from labcases.cases.actions.moves import start_stage
from labcases.cases.choices import StageKind
from labcases.cases.models import Stage
from labcases.measurements.actions.readings import record_readings
from labcases.measurements.actions.standard import OwnNorm, set_lab_standard
from labcases.measurements.queries import current_specification
from tests.factories.cases import NOW, taken_in_case
from tests.factories.measurements import entry

LATER = NOW + datetime.timedelta(hours=1)
RIMS = StageKind.OCCLUSION_RIMS
LIP = "papilla_to_resting_lip"
DISPLAY = "incisal_display"
DEPTH = "sulcus_to_papilla"
HEIGHT = "anterior_height"


def at_work(kind=RIMS, *, by, **prescription):
    """The stage where a case starts, received and begun."""
    case = taken_in_case(starts_at=kind, **prescription)
    receive_at_laboratory(case=case, agent="Label A", minutes=10, minutes_required=10, by=by, now=NOW)
    stage = Stage.objects.with_case().get(pk=case.current_stage_id)
    start_stage(stage=stage, by=by, expected_version=stage.version, now=NOW)
    return Stage.objects.with_case().get(pk=stage.pk)


def take(stage, *entries, by, now=LATER, **extra):
    return record_readings(stage=stage, entries=entries, by=by, now=now, **extra)


def lip_figures():
    return [entry(LIP, "7.5", instrument="papillameter"), entry(DISPLAY, "1.0", instrument="papillameter")]


def line(case, name, *, arch="maxillary", kind=RIMS):
    return current_specification(case, kind).lines.get(arch=arch, name=name)


def norm(dimension, target, minus="1", plus="1", *, arch="maxillary", kind=RIMS, unit="mm"):
    return OwnNorm(kind, arch, dimension, target, minus, plus, unit)


def standardise(*norms, by, now=NOW, valid_from=None, expected=None, **schools):
    return set_lab_standard(
        norms=norms,
        schools=schools,
        valid_from=valid_from or now.date(),
        by=by,
        now=now,
        expected=expected,
    )
