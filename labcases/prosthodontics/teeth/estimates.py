"""Rules that estimate the size of front teeth from the face. All are shown with evidence; none binds."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import COMMON_PRACTICE, Provenance, Source
from labcases.prosthodontics.wording import Words

# What can be given, mm: label and possible range.
FACE_FIGURES: dict[str, tuple[str, float, float]] = {
    "bizygomatic_width": (Words("Face width between the cheekbones"), 80, 200),
    "face_length": (Words("Face length, hairline to chin"), 120, 260),
    "head_circumference": (Words("Horizontal head circumference"), 400, 700),
    "interalar_width": (Words("Width of the nose between the alae"), 20, 60),
    "mouth_width": (Words("Width of the mouth between the commissures at rest"), 30, 80),
    "inner_canthal_distance": (Words("Distance between the inner corners of the eyes"), 18, 50),
    "canine_line_arc": (Words("Arc between the canine lines on this rim"), 25, 80),
    "upper_six_width": (Words("Six upper front teeth chosen"), 30, 65),
    "canine_to_pad": (Words("Distal of the lower canine to the front of the retromolar pad"), 15, 60),
}


@dataclass(frozen=True)
class SizeRule:
    """One rule: what it estimates, from which figure, and how good the evidence is."""

    name: str
    estimates: str
    label: str
    needs: str
    formula: str
    compute: Callable[[float], float]
    evidence: str
    source: Source


@dataclass(frozen=True)
class Estimate:
    """A width or length in mm from one rule, with the sentence that shows the numbers."""

    rule: SizeRule
    value: float
    steps: str


def _times(factor: float) -> Callable[[float], float]:
    return lambda value: value * factor


_RADIA = Words(
    "not confirmed in 149 people: Radia S and others, J Prosthet Dent 2016;115:741-748 (summary seen)"
)
_HEAD = Words("two versions are taught; neither was seen in its source")
_MIRAN = Source("Miran FA, Muhamad SR, Sulaimani Dent J 2(2), n = 60", Provenance.SEEN, "M")
_INDIANS = Words(
    "a study of 540 people found no correlation (r = 0.03): Deogade SC and others 2014, "
    "doi 10.5005/jp-journals-10019-1116"
)

SIZE_RULES: tuple[SizeRule, ...] = (
    SizeRule(
        "central_width_from_face_width",
        "central_width",
        Words("Central width, face width rule"),
        "bizygomatic_width",
        Words("face width / 16"),
        _times(1 / 16),
        _RADIA,
        Source("Berry 1905/06; House and Loop", Provenance.RECALLED, "H"),
    ),
    SizeRule(
        "central_length_from_face_length_16",
        "central_length",
        Words("Central length, face length rule"),
        "face_length",
        Words("face length / 16"),
        _times(1 / 16),
        _RADIA,
        Source("Berry 1905/06", Provenance.RECALLED, "M"),
    ),
    SizeRule(
        "central_length_from_face_length_20",
        "central_length",
        Words("Central length, face length rule of other texts"),
        "face_length",
        Words("face length / 20"),
        _times(1 / 20),
        Words("schools differ about the divisor; hairline to chin in both"),
        Source(Words("teaching texts"), Provenance.RECALLED, "M"),
    ),
    SizeRule(
        "six_width_from_face_width",
        "six_anterior_width",
        Words("Six front teeth, face width rule"),
        "bizygomatic_width",
        Words("face width / 3.3"),
        _times(1 / 3.3),
        _RADIA,
        Source("House MM and Loop JL 1939", Provenance.RECALLED, "H"),
    ),
    SizeRule(
        "six_width_from_head_10",
        "six_anterior_width",
        Words("Six front teeth, head circumference / 10"),
        "head_circumference",
        Words("head circumference / 10"),
        _times(1 / 10),
        _HEAD,
        Source("Kern", Provenance.RECALLED, "L"),
    ),
    SizeRule(
        "six_width_from_head_13",
        "six_anterior_width",
        Words("Six front teeth along the arc, head circumference / 13"),
        "head_circumference",
        Words("head circumference / 13"),
        _times(1 / 13),
        _HEAD,
        Source("Sears VH", Provenance.RECALLED, "L"),
    ),
    SizeRule(
        "canine_tips_from_nose",
        "canine_tip_distance",
        Words("Canine tip to canine tip, nose width rule"),
        "interalar_width",
        Words("nose width"),
        _times(1.0),
        Words(
            "means 35.2 and 34.8 mm in 316 people, large variation: Woelfel JB and others, "
            "J Adv Prosthodont 2014;6(6)"
        ),
        Source("Wehner PJ, Hickey JC, Boucher CO, J Prosthet Dent 1967;18:222-232", Provenance.SEEN, "H"),
    ),
    SizeRule(
        "six_arc_from_mouth_men",
        "six_anterior_width",
        Words("Six front teeth along the arc, mouth width, men"),
        "mouth_width",
        Words("0.994 × mouth width"),
        _times(0.994),
        _INDIANS,
        _MIRAN,
    ),
    SizeRule(
        "six_arc_from_mouth_women",
        "six_anterior_width",
        Words("Six front teeth along the arc, mouth width, women"),
        "mouth_width",
        Words("1.036 × mouth width"),
        _times(1.036),
        _INDIANS,
        _MIRAN,
    ),
    SizeRule(
        "central_width_from_mouth",
        "central_width",
        Words("Central width, mouth width rule"),
        "mouth_width",
        Words("mouth width / 6.15"),
        _times(1 / 6.15),
        _INDIANS,
        _MIRAN,
    ),
    SizeRule(
        "central_width_from_canthi",
        "central_width",
        Words("Central width, inner canthal rule"),
        "inner_canthal_distance",
        Words("0.618 × inner canthal distance / 2"),
        _times(0.618 / 2),
        Words(
            "low correlations in 600 people: Deogade SC and others, J Indian Prosthodont Soc 2015;15:91-97"
        ),
        Source("Abdullah MA, J Prosthet Dent 2002;88:16-20", Provenance.RECALLED, "M"),
    ),
    SizeRule(
        "six_width_from_canine_lines",
        "six_anterior_width",
        Words("Six front teeth, arc between the canine lines of this rim"),
        "canine_line_arc",
        Words("arc between the canine lines"),
        _times(1.0),
        Words(
            "holds where the lines mark the distal surfaces of the canines; "
            "a study of 540 people found no correlation (r = 0.03): Deogade SC and others 2014, "
            "doi 10.5005/jp-journals-10019-1116"
        ),
        COMMON_PRACTICE,
    ),
    SizeRule(
        "lower_six_from_upper",
        "lower_six_width",
        Words("Six lower front teeth from the upper ones"),
        "upper_six_width",
        Words("upper six / 1.30"),
        _times(1 / 1.30),
        Words("ratios 1.29 to 1.31; worked example 35 mm below to 45.5 mm above"),
        Source(Words("abstract index, anterior tooth size"), Provenance.SEEN, "H"),
    ),
    SizeRule(
        "posterior_sum_from_space",
        "posterior_sum",
        Words("Posterior teeth of one side, at most"),
        "canine_to_pad",
        Words("distal of the canine to the front of the retromolar pad"),
        _times(1.0),
        Words("moulds commonly 28 to 34 mm; choose one that is not longer than the space"),
        COMMON_PRACTICE,
    ),
)


def estimate_sizes(figures: Mapping[str, float]) -> tuple[Estimate, ...]:
    """Every rule whose figure is given. InputError for an unknown or impossible figure."""
    for name, value in figures.items():
        if name not in FACE_FIGURES:
            raise InputError(name, value, ", ".join(FACE_FIGURES))
        _, low, high = FACE_FIGURES[name]
        if not low <= value <= high:
            raise InputError(name, value, Words("{low:g} to {high:g} mm").of(low=low, high=high))
    return tuple(_apply(rule, figures[rule.needs]) for rule in SIZE_RULES if rule.needs in figures)


def _apply(rule: SizeRule, figure: float) -> Estimate:
    value = rule.compute(figure)
    return Estimate(
        rule,
        value,
        Words("{formula}: {figure:g} mm gives {value:.2f} mm").of(
            formula=rule.formula, figure=figure, value=value
        ),
    )
