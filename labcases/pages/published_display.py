"""What publications say about display at rest, for what a form says of the patient so far."""

from decimal import Decimal

from labcases.prosthodontics.errors import LabCasesError
from labcases.prosthodontics.guidance import KEYS, SEXES, Guidance, display_guidance
from labcases.prosthodontics.quantities import read_figure


def guidance_for(
    *, age: object, sex: object, lip_length: object, first: str = KEYS[0]
) -> tuple[Guidance, ...]:
    """Published display figures for what was typed; what can't be read yet is left out, never guessed.

    `first` is the laboratory's choice of the table that stands first.
    """
    typed_age = str(age or "").strip()
    years = int(typed_age) if typed_age.isascii() and typed_age.isdigit() and len(typed_age) < 4 else None
    try:
        return display_guidance(
            years if years is not None and years <= 120 else None,
            str(sex) if sex in SEXES else None,
            _lip_length(lip_length),
            first=first,
        )
    except LabCasesError:
        return ()


def _lip_length(typed: object) -> Decimal | None:
    try:
        return read_figure("upper_lip_length", str(typed)) if typed else None
    except LabCasesError:
        return None
