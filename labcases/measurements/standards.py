"""Between the stored lab standard and the plain one that the core computes with."""

import datetime
from decimal import Decimal

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from labcases.measurements.models import LabStandard, Norm
from labcases.prosthodontics import standard as core
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.standard.schools import changed


def stored_standard(on: datetime.date) -> LabStandard | None:
    """The laboratory's standard in force on a day; None while it works with the delivered one."""
    return LabStandard.objects.filter(valid_from__lte=on).prefetch_related("norms").first()


def schools_in_force(on: datetime.date) -> core.Schools:
    """The laboratory's choices between schools of thought on a day, where its figures are not needed."""
    chosen = LabStandard.objects.filter(valid_from__lte=on).values_list("schools", flat=True).first()
    return changed(core.Schools(), chosen or {})


def schools_of(stored: LabStandard | None) -> core.Schools:
    """The choices of one stored standard, or those delivered."""
    return changed(core.Schools(), stored.schools if stored else {})


def plain_standard(stored: LabStandard | None) -> core.LabStandard:
    """The figures to compute with: the delivered ones, each replaced where the laboratory has its own."""
    if stored is None:
        return core.HOUSE_STANDARD
    own = [_plain_norm(norm, stored) for norm in stored.norms.all()]
    return core.with_changes(core.HOUSE_STANDARD, norms=own, schools=stored.schools, dated=stored.valid_from)


def _plain_norm(norm: Norm, stored: LabStandard) -> core.Norm:
    words = _("this laboratory's standard of {day}").format(day=date_format(stored.valid_from, _("d M Y")))
    return core.Norm(
        stage=norm.stage_kind,
        arch=norm.arch,
        dimension=norm.dimension,
        target=norm.target,
        minus=norm.minus or Decimal(0),
        plus=norm.plus or Decimal(0),
        unit=norm.unit,
        note=norm.note,
        source=Source(words, Provenance.COMMON, "M"),
    )
