"""Cases made by hand: readings and lines that no database has seen."""

from decimal import Decimal

from labcases.cases.models import Stage
from labcases.measurements.derivations.figures import CaseFigures
from labcases.measurements.derivations.shapes import shape_of
from labcases.measurements.models import Reading, SpecificationLine
from labcases.prosthodontics.quantities import quantity
from labcases.prosthodontics.standard import Schools

HERE, EARLIER = 2, 1
UPPER_CAST = {
    "hamular_notch_width": "50",
    "arch_depth": "46",
    "canine_eminence_width": "32",
    "canine_eminence_depth": "12",
    "papilla_behind_crest": "2",
    "sulcus_to_crest": "11",
    "posterior_sulcus_to_crest_left": "10",
    "posterior_sulcus_to_crest_right": "10",
}
LOWER_CAST = {
    "pad_to_pad_width": "54",
    "arch_depth": "44",
    "canine_eminence_width": "28",
    "sulcus_to_crest": "8",
}
CASTS = {"maxillary": UPPER_CAST, "mandibular": LOWER_CAST}
TARGETS = {
    "maxillary": {
        "anterior_height": "21",
        "posterior_height_left": "18",
        "posterior_height_right": "18",
        "anterior_width": "8",
        "posterior_width": "10",
        "labial_offset": "6",
        "labial_inclination": "100",
        "posterior_end_angle": "45",
    },
    "mandibular": {
        "anterior_height": "18",
        "posterior_height_left": "6",
        "posterior_height_right": "7",
        "anterior_width": "8",
        "posterior_width": "10",
        "labial_inclination": "95",
        "posterior_end_angle": "45",
    },
}


def reading(name, value, *, arch="", u="0", stage=EARLIER, kind="master_cast"):
    taken = Reading(quantity=name, arch=arch, value=Decimal(value), uncertainty=Decimal(u))
    taken.unit = quantity(name).unit
    taken.stage = Stage(pk=stage, kind=kind, visit=1, position=stage)
    return taken


def cast(arch, **changes):
    return [reading(name, value, arch=arch) for name, value in {**CASTS[arch], **changes}.items()]


def line(name, target, *, arch, uncertainty=None):
    known = None if uncertainty is None else Decimal(uncertainty)
    return SpecificationLine(name=name, arch=arch, target=Decimal(target), uncertainty=known)


def lines(arch, *, uncertainty=None, **changes):
    targets = {**TARGETS[arch], **changes}
    return [line(name, target, arch=arch, uncertainty=uncertainty) for name, target in targets.items()]


def case(*readings, specified=None, schools=None):
    specified = lines("maxillary") + lines("mandibular") if specified is None else specified
    here = Stage(pk=HERE, kind="occlusion_rims", visit=1, position=HERE)
    return CaseFigures(readings=list(readings), lines=specified, schools=schools or Schools(), stage=here)


def measured(arch="maxillary", *, u="0.1", kind="occlusion_rims", **values):
    """Figures taken at the very stage."""
    return [reading(name, value, arch=arch, u=u, stage=HERE, kind=kind) for name, value in values.items()]


def upper(found, **more):
    return shape_of(found, "maxillary", **more)


def lower(found, **more):
    return shape_of(found, "mandibular", **more)


def by_label(block, start):
    [line] = [each for each in block.lines if each.label.startswith(start)]
    return line
