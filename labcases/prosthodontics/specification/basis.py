"""How a line gets its figure: prescribed before computed before the laboratory's standard."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.quantities import QUANTITIES
from labcases.prosthodontics.specification.lines import Basis, Dimension, with_unit
from labcases.prosthodontics.standard import LabStandard, Norm
from labcases.prosthodontics.wording import Words

HUNDREDTH = Decimal("0.01")
PRESCRIBED_SOURCE = Words("prescriber")
# Every tolerance is the laboratory's own choice, wherever its target comes from.
WITH_TOLERANCE = Words("{source}; tolerance: the laboratory's choice, common practice, no source")
WORDING_LABELS = {
    "pad_level": Words("Level on the retromolar pad"),
    "tray_extension": Words("Extension"),
    "handle_form": Words("Form of the handle"),
    "finger_rests": Words("Finger rests"),
    "vent": Words("Vent"),
    "border_extension": Words("Extension"),
    "posterior_seal_form": Words("Form of the posterior palatal seal"),
    "frenum_relief": Words("Relief of the frena"),
    "papilla_window": Words("Window over the papilla"),
}


@dataclass(frozen=True)
class Figure:
    """A figure of this patient with its standard uncertainty, where that is known."""

    value: Decimal
    u: Decimal | None = None


Figures = Mapping[str, Decimal | Figure]
Prescribed = Mapping[str, Decimal | str]


@dataclass(frozen=True, kw_only=True)
class Computed:
    """A target worked out from this patient's figures: `why` in numbers, `formula` in words."""

    value: Decimal
    u: Decimal | None
    why: str
    formula: str
    source: str = Words("this patient's figures (derived here)")


@dataclass(frozen=True, kw_only=True)
class Work:
    """One stage of one arch: what is known, what is prescribed, what the laboratory does."""

    stage: str
    arch: str
    figures: Mapping[str, Figure]
    prescribed: Prescribed
    standard: LabStandard

    def norm(self, name: str) -> Norm | None:
        return self.standard.find(self.stage, self.arch, name)

    def given(self, *names: str) -> list[Figure] | None:
        """Those figures, or None unless all of them exist."""
        found = [self.figures[name] for name in names if name in self.figures]
        return found if len(found) == len(names) else None

    def missing(self, *names: str) -> list[str]:
        return [name for name in names if name not in self.figures]

    def line(
        self, name: str, *, computed: Computed | None = None, key: str = "", because: str = ""
    ) -> Dimension:
        """The line of that name by the first basis that applies. `because` says why nothing was computed.

        `key` is the norm's name where it differs from the line's, as a spacer's does with the material.
        """
        norm = self.norm(key or name)
        if name in self.prescribed:
            return self._prescribed(name, norm)
        if computed is not None:
            return self._computed(name, computed, norm)
        return self._standard(name, norm, because)

    def _prescribed(self, name: str, norm: Norm | None) -> Dimension:
        value = self.prescribed[name]
        if isinstance(value, str):
            return self._words(
                name, value, Basis.PRESCRIBED, PRESCRIBED_SOURCE, Words("The prescriber wrote it.")
            )
        unit = QUANTITIES[name].unit
        why = Words("The prescriber wrote {figure}.").of(figure=with_unit(value, unit))
        if norm is not None and norm.target is not None and norm.target != value:
            usual = Words("The {standard} would be {figure}.")
            why += f" {usual.of(standard=self.standard.words, figure=with_unit(norm.target, unit))}"
        return self._measured(name, value, norm, basis=Basis.PRESCRIBED, source=PRESCRIBED_SOURCE, why=why)

    def _computed(self, name: str, computed: Computed, norm: Norm | None) -> Dimension:
        return self._measured(
            name,
            computed.value,
            norm,
            basis=Basis.COMPUTED,
            source=computed.source,
            why=computed.why,
            u=computed.u,
            formula=computed.formula,
        )

    def _standard(self, name: str, norm: Norm | None, because: str) -> Dimension:
        if norm is None:
            allowed = Words("a figure in the laboratory's standard, a prescribed or a computed one")
            raise InputError(name, None, allowed)
        source = f"{self.standard.words}; {norm.source.words}"
        if norm.target is None:
            own = Words("The laboratory's own rule.")
            return self._words(name, norm.note, Basis.STANDARD, source, f"{because}{own}")
        own = Words("The laboratory's own figure.")
        why = f"{because}{own} {norm.note}".strip()
        return self._measured(name, norm.target, norm, basis=Basis.STANDARD, source=source, why=why)

    def _measured(
        self,
        name: str,
        target: Decimal,
        norm: Norm | None,
        *,
        basis: Basis,
        source: str,
        why: str,
        u: Decimal | None = None,
        formula: str = "",
    ) -> Dimension:
        minus, plus = (norm.minus, norm.plus) if norm else (None, None)
        return Dimension(
            name=name,
            label=QUANTITIES[name].label,
            arch=self.arch,
            target=target,
            lower=None if minus is None else possible(name, target - minus, target),
            upper=None if plus is None else possible(name, target + plus, target),
            unit=QUANTITIES[name].unit,
            basis=basis,
            source=WITH_TOLERANCE.of(source=str(source)) if norm else source,
            why=why,
            uncertainty=u,
            formula=formula,
        )

    def _words(self, name: str, wording: str, basis: Basis, source: str, why: str) -> Dimension:
        return Dimension(
            name=name,
            label=label_of(name),
            arch=self.arch,
            target=None,
            lower=None,
            upper=None,
            unit="",
            basis=basis,
            source=source,
            why=why,
            wording=wording,
            measurable=False,
        )


def work_on(
    *,
    stage: str,
    arch: str,
    names: tuple[str, ...],
    figures: Figures,
    prescribed: Prescribed,
    standard: LabStandard,
) -> Work:
    """The work with every given name and value checked; raises `InputError` for the first that can't be."""
    for name, value in prescribed.items():
        _check_prescribed(name, value, names)
    checked = {name: _checked_figure(name, value) for name, value in figures.items()}
    return Work(stage=stage, arch=arch, figures=checked, prescribed=prescribed, standard=standard)


def label_of(name: str) -> str:
    return WORDING_LABELS[name] if name in WORDING_LABELS else QUANTITIES[name].label


def possible(name: str, limit: Decimal, target: Decimal) -> Decimal:
    """A limit kept within what the quantity can be at all, and never on the wrong side of its target."""
    low, high = QUANTITIES[name].cannot_be
    if limit < target:
        return min(target, max(limit, low))
    return max(target, min(limit, high))


def rounded(value: Decimal) -> Decimal:
    """To the hundredth that a reading has; halves go up."""
    return value.quantize(HUNDREDTH, rounding=ROUND_HALF_UP)


def _check_prescribed(name: str, value: Decimal | str, names: tuple[str, ...]) -> None:
    if name not in names:
        raise InputError("prescribed", name, ", ".join(names))
    if isinstance(value, str):
        if name not in WORDING_LABELS:
            raise InputError(name, value, QUANTITIES[name].possible_in_words)
    elif name in WORDING_LABELS:
        raise InputError(name, value, Words("words"))
    elif not QUANTITIES[name].is_possible(value):
        raise InputError(name, value, QUANTITIES[name].possible_in_words)


def _checked_figure(name: str, value: Decimal | Figure) -> Figure:
    figure = value if isinstance(value, Figure) else Figure(value)
    if name not in QUANTITIES:
        raise InputError("figures", name, ", ".join(QUANTITIES))
    if not QUANTITIES[name].is_possible(figure.value):
        raise InputError(name, figure.value, QUANTITIES[name].possible_in_words)
    return figure
