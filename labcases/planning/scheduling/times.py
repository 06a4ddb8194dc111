"""Standard times: how long a kind of stage keeps hands busy, how long it waits without them, who can do it.

The delivered figures are starting values (common practice, no source); a laboratory sets its own or adopts
what its finished stages took.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from labcases.planning.scheduling.work import Piece
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import Words

STARTING_VALUE = Source(Words("starting value of this product"), Provenance.COMMON, "L")
# Examples, not norms: two laboratories' published calendars give tray 2 and 2, base and rims 2 and 2,
# arrangement 4 and 3, processing 3 and 3, relines and repairs 1 to 2, copy 3 days.
LAB_DAYS = Source("two laboratories' published calendars, as examples", Provenance.RECALLED, "L")

SKILLS: Mapping[str, Words] = {
    "casts_and_trays": Words("Casts and trays"),
    "bases_and_rims": Words("Record bases and rims"),
    "arrangement": Words("Tooth arrangement"),
    "processing": Words("Processing and finishing"),
    "relines_and_repairs": Words("Relines and repairs"),
}

LONGEST = 10_000  # minutes: a week; longer is a slip of the finger


@dataclass(frozen=True)
class StandardTime:
    """Hands-on minutes, then minutes of waiting (setting, curing, cooling), then hands-on minutes again.

    Minutes are for both arches; one arch takes `one_arch_percent` of the hands-on minutes, and waits as long.
    `lab_days` are the working days that the laboratory allows itself for the stage when it lays due days.
    """

    stage: str
    hands_on: int
    waiting: int
    finishing: int
    lab_days: int
    skill: str
    one_arch_percent: int = 60
    source: Source = STARTING_VALUE

    def __post_init__(self) -> None:
        for name in ("hands_on", "waiting", "finishing"):
            if not 0 <= getattr(self, name) <= LONGEST:
                raise InputError(
                    name, getattr(self, name), Words("whole minutes from 0 to {most}").of(most=LONGEST)
                )
        if self.hands_on == 0:
            raise InputError("hands_on", 0, Words("at least one minute"))
        if not 0 <= self.lab_days <= 60:
            raise InputError("lab_days", self.lab_days, Words("0 to 60 working days"))
        if not 10 <= self.one_arch_percent <= 100:
            raise InputError("one_arch_percent", self.one_arch_percent, Words("10 to 100 per cent"))
        if self.skill not in SKILLS:
            raise InputError("skill", self.skill, f"one of {', '.join(SKILLS)}")

    @property
    def hands(self) -> int:
        """All hands-on minutes for both arches."""
        return self.hands_on + self.finishing

    def pieces(self, *, arches: int = 2) -> tuple[Piece, ...]:
        """The stage as pieces of work for one or two arches."""
        share = 100 if arches > 1 else self.one_arch_percent
        first, last = (max(1, round(minutes * share / 100)) for minutes in (self.hands_on, self.finishing))
        if not self.finishing:
            return (Piece(first, self.waiting),)
        return (Piece(first, self.waiting), Piece(last))

    def with_hands_on(self, minutes: int, source: Source) -> "StandardTime":
        """The same stage with `minutes` of hands-on work in all, shared out as before."""
        finishing = round(minutes * self.finishing / self.hands)
        return replace(self, hands_on=max(1, minutes - finishing), finishing=finishing, source=source)


USUAL_TIMES: Mapping[str, StandardTime] = {
    time.stage: time
    for time in (
        StandardTime("custom_tray", 25, 45, 60, 2, "casts_and_trays"),
        StandardTime("master_cast", 45, 60, 30, 1, "casts_and_trays"),
        StandardTime("record_base", 50, 15, 25, 1, "bases_and_rims"),
        StandardTime("occlusion_rims", 60, 15, 15, 1, "bases_and_rims"),
        StandardTime("tooth_arrangement", 270, 0, 0, 3, "arrangement"),
        # The wait is the long cure of eight hours, cooling on the bench and in water.
        StandardTime("processing", 120, 530, 180, 3, "processing"),
        StandardTime("reline", 60, 90, 60, 2, "relines_and_repairs"),
        StandardTime("copy_template", 60, 60, 45, 3, "casts_and_trays"),
        StandardTime("repair", 30, 20, 30, 1, "relines_and_repairs"),
    )
}
