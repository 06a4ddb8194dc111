"""Published display tables: stored as published or as recalled, marked as such, and never blended."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.guidance import (
    DA_MOTTA,
    KARACHI,
    KEYS,
    PRAJAPATI,
    SEXES,
    VIG_BRUNDO_GROUPS,
    VIG_BRUNDO_LIP,
    Guidance,
    display_guidance,
)
from labcases.prosthodontics.provenance import Provenance, Source


def values(found: tuple[Guidance, ...], source: Source) -> list[str]:
    return [str(each.value) for each in found if each.source is source]


@pytest.mark.parametrize(
    ("age", "mean"),
    [
        (20, "3.37"), (29, "3.37"), (30, "1.58"), (39, "1.58"), (40, "0.95"),
        (49, "0.95"), (50, "0.46"), (59, "0.46"), (60, "-0.04"), (95, "-0.04"),
    ],
)  # fmt: skip
def test_display_by_age_is_stored_as_recalled_from_vig_and_brundo(age: int, mean: str) -> None:
    """Vig and Brundo 1978, J Prosthet Dent 39:502-504: recalled, so this shows the storing, not the truth."""
    assert values(display_guidance(age=age), VIG_BRUNDO_GROUPS) == [mean]
    assert VIG_BRUNDO_GROUPS.provenance is Provenance.RECALLED


@pytest.mark.parametrize(("sex", "mean"), [("male", "1.91"), ("female", "3.40")])
def test_display_by_sex_is_stored_as_recalled_from_vig_and_brundo(sex: str, mean: str) -> None:
    """Vig and Brundo 1978: recalled."""
    assert values(display_guidance(sex=sex), VIG_BRUNDO_GROUPS) == [mean]


@pytest.mark.parametrize(
    ("lip", "mean"),
    [("10", "3.92"), ("15", "3.92"), ("15.49", "3.92"), ("15.5", "3.44"), ("20.4", "3.44"), ("20.5", "2.18"),
     ("25.49", "2.18"), ("25.5", "0.93"), ("30.5", "0.25"), ("36.49", "0.25")],
)  # fmt: skip
def test_a_lip_between_two_classes_is_rounded_half_up(lip: str, mean: str) -> None:
    """Vig and Brundo 1978: recalled; the rounding is decided here."""
    assert values(display_guidance(lip_length=Decimal(lip)), VIG_BRUNDO_LIP) == [mean]


@pytest.mark.parametrize("lip", ["9.49", "36.5", "50", "5"])
def test_nothing_is_extrapolated_beyond_the_printed_classes(lip: str) -> None:
    found = display_guidance(sex="female", lip_length=Decimal(lip))
    assert values(found, VIG_BRUNDO_LIP) == values(found, PRAJAPATI) == []


@pytest.mark.parametrize(
    ("sex", "age", "mean"),
    [("female", 12, "4.45"), ("female", 51, "1.32"), ("male", 15, "3.35"), ("male", 80, "0.57")],
)
def test_display_of_the_youngest_and_the_oldest_as_da_motta_printed_it(sex: str, age: int, mean: str) -> None:
    """da Motta et al., Aust Orthod J 2010;26(1):27-32: seen for these two groups only."""
    assert values(display_guidance(age=age, sex=sex), DA_MOTTA) == [mean]
    assert DA_MOTTA.provenance is Provenance.SEEN


@pytest.mark.parametrize("age", [11, 16, 30, 50])
def test_groups_that_could_not_be_read_stay_silent(age: int) -> None:
    assert values(display_guidance(age=age, sex="male"), DA_MOTTA) == []


@pytest.mark.parametrize(
    ("sex", "lip", "means"),
    [
        ("female", "12", ["3.7"]), ("female", "18", ["3.4"]), ("female", "23", ["2.3"]),
        ("female", "28", ["0.9"]), ("female", "33", ["0.25"]), ("male", "12", ["3.4"]),
        ("male", "18", ["3.3"]), ("male", "23", ["2.05"]), ("male", "28", ["0.7"]),
        ("male", "33", ["0.15"]), ("male", "36", []),
    ],
)  # fmt: skip
def test_display_by_lip_and_sex_as_prajapati_printed_it(sex: str, lip: str, means: list[str]) -> None:
    """Prajapati, Sethuraman and Naveen, J Contemp Dent Pract 2011;12(1):24-29: seen."""
    assert values(display_guidance(sex=sex, lip_length=Decimal(lip)), PRAJAPATI) == means


def test_where_the_printed_classes_overlap_both_means_are_shown() -> None:
    """Prajapati et al. print the classes 10-15 and 15-20."""
    found = [
        each for each in display_guidance(sex="female", lip_length=Decimal(15)) if each.source is PRAJAPATI
    ]
    assert [str(each.value) for each in found] == ["3.7", "3.4"]
    assert all("overlap" in each.caution for each in found)


def test_the_karachi_mean_is_shown_with_its_spread_and_for_women_only() -> None:
    """Karachi 2012-13, abstract index: seen, 2.93 (SD 1.57), women."""
    (mean,) = [each for each in display_guidance(sex="female") if each.source is KARACHI]
    assert (mean.value, mean.spread) == (Decimal("2.93"), Decimal("1.57"))
    assert values(display_guidance(sex="male"), KARACHI) == []


def test_what_is_usually_taught_is_common_practice_and_always_there() -> None:
    """Common practice, no source: 1 to 2 mm."""
    (taught,) = display_guidance()
    assert (taught.value, taught.upto) == (1, 2)
    assert taught.source.words == "common practice, no source"


@pytest.mark.parametrize("arguments", [{"sex": "f"}, {"age": -1}, {"age": 121}, {"age": True}, {"age": 50.5}])
def test_what_no_table_could_mean_is_refused(arguments: dict[str, object]) -> None:
    with pytest.raises(InputError):
        display_guidance(**arguments)  # type: ignore[arg-type]


@given(
    st.none() | st.integers(0, 120),
    st.none() | st.sampled_from(SEXES),
    st.none() | st.decimals(5, 45, places=2),
)
def test_every_figure_comes_with_source_and_caution(
    age: int | None, sex: str | None, lip: Decimal | None
) -> None:
    found = display_guidance(age=age, sex=sex, lip_length=lip)
    assert all(each.caution and each.source.words and each.label for each in found)
    single = [display_guidance(age=age, sex=sex), display_guidance(sex=sex, lip_length=lip)]
    # No joint table exists: asking for more never changes what one key alone says.
    assert {each for part in single for each in part} == set(found)


def test_the_table_that_a_laboratory_prefers_stands_first() -> None:
    known = {"age": 71, "sex": "male", "lip_length": Decimal(22)}
    labels = {first: [each.label for each in display_guidance(**known, first=first)] for first in KEYS}
    assert labels["age"][1] == "age 60 and over"
    assert labels["sex"][1] == "male"
    assert labels["lip_length"][1].startswith("upper lip")
    assert sorted(labels["age"]) == sorted(labels["sex"]) == sorted(labels["lip_length"])
    with pytest.raises(InputError, match="first"):
        display_guidance(first="shoe_size")
