"""The laboratory's dated standard: its figures and its choices between schools."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.standard.house import HOUSE_NORMS, labial_offset_norm
from labcases.prosthodontics.standard.norms import Norm
from labcases.prosthodontics.standard.schools import Schools, changed
from labcases.prosthodontics.wording import Words

MONTHS = (
    Words("January"),
    Words("February"),
    Words("March"),
    Words("April"),
    Words("May"),
    Words("June"),
    Words("July"),
    Words("August"),
    Words("September"),
    Words("October"),
    Words("November"),
    Words("December"),
)


@dataclass(frozen=True)
class LabStandard:
    """What this laboratory works to from a day on; None as the day means "as delivered"."""

    dated: date | None
    norms: tuple[Norm, ...]
    schools: Schools = field(default_factory=Schools)

    def find(self, stage: str, arch: str, dimension: str) -> Norm | None:
        """That norm, or None where the standard has none: the trade has no average for everything."""
        return next((norm for norm in self.norms if norm.key == (stage, arch, dimension)), None)

    def norm(self, stage: str, arch: str, dimension: str) -> Norm:
        """That norm; raises `InputError` that lists what the standard has for this stage and arch."""
        found = self.find(stage, arch, dimension)
        if found is None:
            raise InputError(
                "standard", dimension, ", ".join(n.dimension for n in self.for_stage(stage, arch))
            )
        return found

    def for_stage(self, stage: str, arch: str) -> tuple[Norm, ...]:
        return tuple(norm for norm in self.norms if (norm.stage, norm.arch) == (stage, arch))

    @property
    def words(self) -> str:
        if self.dated is not None:
            day, month, year = self.dated.day, MONTHS[self.dated.month - 1], self.dated.year
            return Words("lab standard of {day} {month} {year}").of(day=day, month=month, year=year)
        if self.norms == HOUSE_NORMS:
            return Words("lab standard as delivered")
        return Words("lab standard, not dated")


def with_changes(
    standard: LabStandard,
    *,
    norms: Iterable[Norm] = (),
    schools: Mapping[str, str] | None = None,
    dated: date | None = None,
) -> LabStandard:
    """A new standard with some figures replaced or added and some choices changed; the old one stays as it
    was.

    The distance from the papilla belongs to the papilla point. Another point brings its own delivered
    distance, unless the laboratory had set one itself: then a new one has to be given with it, and
    `InputError` says so.
    """
    replacing = {norm.key: norm for norm in norms}
    chosen = changed(standard.schools, schools or {})
    moved = _moved_offset(standard, chosen)
    if moved is not None and moved.key not in replacing:
        _refuse_own_offset(standard, chosen)
        replacing[moved.key] = moved
    kept = tuple(replacing.pop(norm.key, norm) for norm in standard.norms)
    return replace(
        standard, dated=dated or standard.dated, norms=(*kept, *replacing.values()), schools=chosen
    )


def _moved_offset(standard: LabStandard, chosen: Schools) -> Norm | None:
    if chosen.papilla_reference == standard.schools.papilla_reference:
        return None
    return labial_offset_norm(chosen.papilla_reference)


def _refuse_own_offset(standard: LabStandard, chosen: Schools) -> None:
    delivered = labial_offset_norm(standard.schools.papilla_reference)
    if standard.find(*delivered.key) not in (delivered, None):
        allowed = Words("a new labial_offset given together with the new papilla point")
        raise InputError("papilla_reference", chosen.papilla_reference, allowed)


HOUSE_STANDARD = LabStandard(dated=None, norms=HOUSE_NORMS)
