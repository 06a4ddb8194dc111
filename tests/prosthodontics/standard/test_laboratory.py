from dataclasses import FrozenInstanceError, replace
from datetime import date
from decimal import Decimal

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.standard import HOUSE_STANDARD, LabStandard, with_changes

RIMS = "occlusion_rims"
HEIGHT = HOUSE_STANDARD.norm(RIMS, "maxillary", "anterior_height")
OFFSET = HOUSE_STANDARD.norm(RIMS, "maxillary", "labial_offset")
OWN_OFFSET = replace(OFFSET, target=Decimal("6.5"))


def offset_of(standard: LabStandard) -> Decimal | None:
    return standard.norm(RIMS, "maxillary", "labial_offset").target


def test_a_changed_figure_makes_a_new_standard_and_leaves_the_old_one() -> None:
    changed = with_changes(
        HOUSE_STANDARD, norms=[replace(HEIGHT, target=Decimal(21))], dated=date(2031, 3, 1)
    )
    assert changed.norm(RIMS, "maxillary", "anterior_height").target == 21
    assert HOUSE_STANDARD.norm(RIMS, "maxillary", "anterior_height").target == 22
    assert len(changed.norms) == len(HOUSE_STANDARD.norms)


def test_a_laboratory_may_add_a_figure_that_is_not_delivered() -> None:
    own = replace(HEIGHT, arch="mandibular", dimension="posterior_height_left", target=Decimal(7))
    changed = with_changes(HOUSE_STANDARD, norms=[own])
    assert changed.norm(*own.key) == own


def test_the_standard_says_its_day() -> None:
    assert HOUSE_STANDARD.words == "lab standard as delivered"
    assert with_changes(HOUSE_STANDARD, dated=date(2031, 3, 1)).words == "lab standard of 1 March 2031"
    assert with_changes(HOUSE_STANDARD, norms=[OWN_OFFSET]).words == "lab standard, not dated"


def test_a_change_without_a_day_keeps_the_day() -> None:
    dated = with_changes(HOUSE_STANDARD, dated=date(2031, 3, 1))
    assert with_changes(dated, schools={"pad_level": "half"}).dated == date(2031, 3, 1)


def test_another_papilla_point_brings_its_own_delivered_distance() -> None:
    centre = with_changes(HOUSE_STANDARD, schools={"papilla_reference": "centre"})
    assert offset_of(centre) == 9
    assert offset_of(with_changes(centre, schools={"papilla_reference": "anterior_border"})) == 6


def test_a_distance_of_the_laboratorys_own_never_slips_to_another_papilla_point() -> None:
    own = with_changes(HOUSE_STANDARD, norms=[OWN_OFFSET])
    with pytest.raises(InputError, match="labial_offset"):
        with_changes(own, schools={"papilla_reference": "centre"})


def test_a_new_distance_may_come_with_the_new_papilla_point() -> None:
    own = with_changes(HOUSE_STANDARD, norms=[OWN_OFFSET])
    given = replace(OFFSET, target=Decimal("8.5"))
    assert offset_of(with_changes(own, norms=[given], schools={"papilla_reference": "centre"})) == Decimal(
        "8.5"
    )


def test_an_unknown_question_or_answer_is_refused() -> None:
    with pytest.raises(InputError, match="pad_level"):
        with_changes(HOUSE_STANDARD, schools={"pad_height": "half"})
    with pytest.raises(InputError, match="two_thirds"):
        with_changes(HOUSE_STANDARD, schools={"pad_level": "2/3"})


def test_a_figure_that_the_standard_has_not_is_answered_with_those_it_has() -> None:
    with pytest.raises(InputError, match="anterior_height"):
        HOUSE_STANDARD.norm(RIMS, "mandibular", "posterior_height_left")


def test_a_standard_cannot_be_altered_in_place() -> None:
    with pytest.raises(FrozenInstanceError):
        HOUSE_STANDARD.dated = date(2031, 3, 1)  # type: ignore[misc]
