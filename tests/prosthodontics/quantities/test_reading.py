from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.quantities import QUANTITIES, read_figure


@pytest.mark.parametrize("value", ["12,5", "12.5", 12.5, Decimal("12.5"), " 12,50 mm"])
def test_one_figure_may_be_written_in_many_ways(value: object) -> None:
    assert read_figure("sulcus_to_papilla", value) == Decimal("12.5")


@pytest.mark.parametrize("value", [12, 12.0, "12"])
def test_a_whole_number_needs_no_decimals(value: object) -> None:
    assert read_figure("sulcus_to_papilla", value) == 12


@pytest.mark.parametrize(
    "value",
    [
        "1e2",
        "1_0",
        "1.250",
        "NaN",
        "",
        float("nan"),
        float("inf"),
        True,
        None,
        [],
        {},
        0.1 + 0.2,
        1e22,
        10**400,
        b"12",
    ],
)
def test_what_is_no_figure_is_refused_by_name_and_range(value: object) -> None:
    with pytest.raises(InputError, match=r"^sulcus_to_papilla: .* is not accepted; allowed: 2 to 30 mm"):
        read_figure("sulcus_to_papilla", value)


@pytest.mark.parametrize("value", ["1.99", "30.01", 0, 999])
def test_what_a_quantity_cannot_be_is_refused_with_its_range(value: object) -> None:
    with pytest.raises(InputError, match=r"allowed: 2 to 30 mm, with at most two decimals$"):
        read_figure("sulcus_to_papilla", value)


def test_a_wish_may_hide_the_edge_above_the_lip() -> None:
    assert read_figure("incisal_display", "−1,5") == Decimal("-1.5")


def test_a_height_has_no_sign() -> None:
    with pytest.raises(InputError, match="sign"):
        read_figure("anterior_height", "-22")


def test_a_count_has_no_decimals() -> None:
    assert read_figure("stop_count", "3") == 3
    with pytest.raises(InputError, match="whole number"):
        read_figure("stop_count", "3.5")


def test_an_angle_may_carry_its_degrees_but_no_millimetres() -> None:
    assert read_figure("labial_inclination", "100°") == 100
    with pytest.raises(InputError, match="degrees"):
        read_figure("labial_inclination", "100 mm")


@given(st.sampled_from(sorted(QUANTITIES)), st.floats() | st.integers() | st.text(max_size=12))
def test_whatever_is_read_is_possible_and_the_same_number(name: str, value: float | int | str) -> None:
    try:
        figure = read_figure(name, value)
    except InputError:
        return
    assert QUANTITIES[name].is_possible(figure)
    if not isinstance(value, str):
        assert figure == Decimal(str(value))
