"""The figures of a case as derivations take them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from labcases.cases.models import Stage
from labcases.measurements.models import Reading, SpecificationLine
from labcases.measurements.queries import figures_of
from labcases.prosthodontics.specification.basis import Figure
from labcases.prosthodontics.standard import Schools


@dataclass(frozen=True)
class CaseFigures:
    """What stands at a case, seen from one stage. `readings` are standing ones in the order of their stages."""

    readings: Sequence[Reading]
    lines: Sequence[SpecificationLine]
    schools: Schools
    stage: Stage

    @cached_property
    def _by_arch(self) -> dict[str, dict[str, Figure]]:
        return {arch: figures_of(self.readings, arch) for arch in ("maxillary", "mandibular", "")}

    def of(self, arch: str) -> dict[str, Figure]:
        """The newest figures of an arch, those of the patient among them."""
        return self._by_arch[arch]

    def value(self, name: str, arch: str = "") -> float | None:
        figure = self.of(arch).get(name)
        return None if figure is None else float(figure.value)

    def u(self, name: str, arch: str = "") -> float:
        """Standard uncertainty of that figure; 0 where none is known."""
        figure = self.of(arch).get(name)
        return 0.0 if figure is None or figure.u is None else float(figure.u)

    def target(self, name: str, arch: str) -> SpecificationLine | None:
        """The line of the specification, where it has a figure."""
        found = (line for line in self.lines if line.name == name and line.arch == arch)
        return next((line for line in found if line.target is not None), None)

    def taken_here(self, name: str, arch: str) -> Reading | None:
        """The figure taken at this very stage."""
        return self._last(each for each in self._same(name, arch) if each.stage_id == self.stage.pk)

    def taken_before(self, name: str, arch: str) -> Reading | None:
        """The last figure of the same name from an earlier stage or visit."""
        here = self.stage.position
        return self._last(each for each in self._same(name, arch) if each.stage.position < here)

    def _same(self, name: str, arch: str) -> list[Reading]:
        return [each for each in self.readings if each.quantity == name and each.arch == arch]

    @staticmethod
    def _last(readings: Iterable[Reading]) -> Reading | None:
        return next(reversed(list(readings)), None)
