"""What follows from figures typed on a clinic record, for the clinician to look at before anything is sent."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.template.defaultfilters import floatformat
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from labcases.measurements.rules import freeway_from
from labcases.prosthodontics.errors import LabCasesError
from labcases.prosthodontics.millimetres import format_millimetres
from labcases.prosthodontics.provenance import Source
from labcases.prosthodontics.specification.lines import with_unit
from labcases.prosthodontics.vertical import FreewaySpace, RimChange, mean_of, rim_changes_beside
from labcases.prosthodontics.vertical.freeway import (
    EVIDENCE,
    FREEWAY_SOURCE,
    IDENTITY_SOURCE,
    SKIN_MARK_SCATTER,
    SKIN_MARK_SOURCE,
    Standing,
)
from labcases.prosthodontics.vertical.hinge import DISTANCE_SOURCE, HINGE_DISTANCES, HINGE_SOURCE
from labcases.prosthodontics.wording import figure

HALF_A_TENTH = 0.05
STAYS = _("as it is")
# The regions of the hinge and the sides of the range, as they are said.
REGIONS = {"incisor": _("incisor"), "canine": _("canine"), "premolar": _("premolar"), "molar": _("molar")}
STANDINGS = {
    Standing.BELOW: _("below the configured range of {low} to {high} mm"),
    Standing.INSIDE: _("inside the configured range of {low} to {high} mm"),
    Standing.ABOVE: _("above the configured range of {low} to {high} mm"),
}
# The rim in front as it was measured when it left the laboratory, by arch and name.
Made = Mapping[tuple[str, str], Decimal]


@dataclass(frozen=True)
class Step:
    """What a rim gets at one region, in words, with the region's distance from the hinge axis in mm.

    `upper` is empty where the upper rim stays. `spread`: ± of some 95 in 100, mm. `change`: of the lower rim, mm.
    """

    region: str
    distance: float
    words: str
    upper: str = ""
    spread: Decimal = Decimal(0)
    change: Decimal = Decimal(0)

    @property
    def both(self) -> str:
        """What either rim gets; a rim that stays is left out."""
        rims = ((gettext("upper {change}"), self.upper), (gettext("lower {change}"), self.words))
        said = [rim.format(change=words) for rim, words in rims if words not in ("", str(STAYS))]
        return ", ".join(said) or str(STAYS)

    @property
    def place(self) -> str:
        """The region in words."""
        return str(REGIONS[self.region])


@dataclass(frozen=True)
class Way:
    """One way to the space that is aimed at: which rim changes, and by how much where."""

    title: str
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class Mean:
    """The mean of repeats (mm), its standard uncertainty and how many there were."""

    value: Decimal
    u: Decimal
    n: int

    @property
    def words(self) -> str:
        words = ngettext("{mean} (one reading)", "{mean} ({count} readings)", self.n)
        return words.format(mean=with_unit(self.value, "mm"), count=self.n)


@dataclass(frozen=True)
class Freeway:
    """The freeway space with its range, and what the rims would change to come to the middle of the range.

    `steps` are those of the lower rim alone; `others` are the further ways there.
    """

    space: FreewaySpace
    rest: Mean
    occlusion: Mean
    usual: tuple[Decimal, Decimal]
    steps: tuple[Step, ...]
    others: tuple[Way, ...] = ()
    evidence: tuple[tuple[str, str, Source], ...] = EVIDENCE
    sources: tuple[Source, ...] = (IDENTITY_SOURCE, FREEWAY_SOURCE, SKIN_MARK_SOURCE)
    step_sources: tuple[Source, ...] = (HINGE_SOURCE, DISTANCE_SOURCE)

    @property
    def value(self) -> Decimal:
        return _tenths(self.space.value)

    @property
    def spread(self) -> Decimal:
        """Half the width of the 95 % interval, mm."""
        return _tenths(1.96 * self.space.u)

    @property
    def aim(self) -> Decimal:
        return sum(self.usual, Decimal(0)) / 2

    @property
    def is_inside(self) -> bool:
        return self.space.standing == Standing.INSIDE

    @property
    def standing(self) -> str:
        low, high = (_mm(limit) for limit in self.usual)
        return STANDINGS[self.space.standing].format(low=low, high=high)

    @property
    def why(self) -> str:
        return gettext(
            "At rest {rest} less in occlusion {occlusion}. The ± covers some 95 in 100 such measurements; a single "
            "reading between marks on the skin is taken to scatter by {scatter} mm."
        ).format(
            rest=self.rest.words,
            occlusion=self.occlusion.words,
            scatter=figure(f"{SKIN_MARK_SCATTER:g}"),
        )

    @property
    def distances(self) -> str:
        """How far each region is taken to be from the hinge axis."""
        return ", ".join(
            gettext("{distance} mm from the {region}").format(
                distance=floatformat(step.distance), region=step.place
            )
            for step in self.steps
        )

    @property
    def formula(self) -> str:
        rest, occlusion = (_mm(each.value, places=2) for each in (self.rest, self.occlusion))
        u_rest, u_occlusion = (_mm(each.u, places=2) for each in (self.rest, self.occlusion))
        total = _mm(Decimal(str(self.space.u)), places=2)
        space = _mm(Decimal(str(self.space.value)), places=2)
        u = f"√({u_rest}² + {u_occlusion}²) = {total} mm"
        return f"{rest} − {occlusion} = {space} mm; u = {u}; ± {figure('1.96')} u"


def freeway_worked_out(
    rest: Sequence[Decimal],
    occlusion: Sequence[Decimal],
    *,
    usual: tuple[Decimal, Decimal],
    too_long: Decimal | None = None,
) -> Freeway | None:
    """From one to three readings of each (mm); None where one of the two is missing.

    `too_long`: by how much the upper rim shows more at rest than was wanted, where that is known.
    """
    if not rest or not occlusion:
        return None
    space = freeway_from(rest, occlusion, usual=usual)
    aim = float(sum(usual, Decimal(0)) / 2)
    lower = _steps(space, aim, upper=0.0)
    others = tuple(way for way in _other_ways(space, aim, too_long) if way.steps)
    return Freeway(space, _mean(rest), _mean(occlusion), usual, lower, others)


def _other_ways(space: FreewaySpace, aim: float, too_long: Decimal | None) -> Iterator[Way]:
    change = space.value - aim
    if too_long:
        title = gettext("If the upper rim is brought to the display that was wanted")
        yield Way(title, _steps(space, aim, upper=-float(too_long)))
    if abs(change) >= HALF_A_TENTH:
        yield Way(
            gettext("If the lower rim stays and the upper one changes"), _steps(space, aim, upper=change)
        )


def _steps(space: FreewaySpace, aim: float, *, upper: float) -> tuple[Step, ...]:
    """Nothing where the jaw would have to open further than it is long."""
    try:
        changes = rim_changes_beside(freeway=space.value, wanted=aim, upper=upper)
    except LabCasesError:
        return ()
    return tuple(_step(change, space.u, changes_upper=bool(upper)) for change in changes)


def _mean(values: Sequence[Decimal]) -> Mean:
    value, u = mean_of([float(each) for each in values])
    return Mean(round(Decimal(str(value)), 2).normalize(), Decimal(str(u)), len(values))


def _tenths(value: float) -> Decimal:
    return round(Decimal(str(value)), 1) + 0


def _step(change: RimChange, u: float, *, changes_upper: bool) -> Step:
    distance = HINGE_DISTANCES[change.region]
    return Step(
        change.region,
        distance,
        _in_words(change.lower),
        upper=_in_words(change.upper) if changes_upper else "",
        spread=_tenths(1.96 * u * distance / HINGE_DISTANCES["incisor"]),
        change=_tenths(change.lower),
    )


def _in_words(change: float) -> str:
    amount = _tenths(change)
    words = gettext("{amount} more") if amount > 0 else gettext("{amount} less")
    return words.format(amount=with_unit(abs(amount), "mm")) if amount else str(STAYS)


def _mm(value: Decimal, places: int | None = None) -> str:
    return figure(format_millimetres(value, places=places))


def display_in_words(shown: Decimal | None, wanted: Decimal | None, made: Made) -> str:
    """How the rim that shows compares with the display that was wanted, and the height that would give it (mm)."""
    if shown is None or wanted is None:
        return ""
    difference = shown - wanted
    if difference == 0:
        return gettext("The rim shows {shown} at rest, as was wanted.").format(shown=with_unit(shown, "mm"))
    words = (
        gettext(
            "The rim shows {shown} at rest; {wanted} was wanted. In front it is {difference} longer than that."
        )
        if difference > 0
        else gettext(
            "The rim shows {shown} at rest; {wanted} was wanted. In front it is {difference} shorter than that."
        )
    ).format(
        shown=with_unit(shown, "mm"),
        wanted=with_unit(wanted, "mm"),
        difference=with_unit(abs(difference), "mm"),
    )
    height = made.get(("maxillary", "anterior_height"))
    if height is None:
        return words
    sign = "−" if difference > 0 else "+"
    total = f"{_mm(height)} {sign} {_mm(abs(difference))} = {with_unit(height - difference, 'mm')}"
    left = gettext("It left the laboratory {height} high in front: {sum}.")
    return f"{words} {left.format(height=with_unit(height, 'mm'), sum=total)}"
