"""One figure of the laboratory's standard, with its tolerance and what it rests on."""

from dataclasses import dataclass
from decimal import Decimal

from labcases.prosthodontics.provenance import Source


@dataclass(frozen=True, kw_only=True)
class Norm:
    """A target with what may be missing (`minus`) and exceed (`plus`), in `unit`.

    A norm without a target is a rule in words: `note` is then the wording. Otherwise `note` says what the
    figure can't: the other schools, or what to look out for. `source` is the target's; every tolerance
    delivered here is the laboratory's own choice, by common practice.
    """

    stage: str
    arch: str
    dimension: str
    target: Decimal | None
    minus: Decimal
    plus: Decimal
    unit: str
    note: str
    source: Source

    @property
    def key(self) -> tuple[str, str, str]:
        return self.stage, self.arch, self.dimension

    @property
    def lower(self) -> Decimal | None:
        return None if self.target is None else self.target - self.minus

    @property
    def upper(self) -> Decimal | None:
        return None if self.target is None else self.target + self.plus
