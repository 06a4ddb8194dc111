"""Reading and ranking a laboratory's own mould list. The lists are invented."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as some

from labcases.prosthodontics.errors import InputError, LabCasesError
from labcases.prosthodontics.teeth import FaultyMoulds, Mould, Wish, rank_moulds, read_moulds, write_moulds

HEADING = "mould,six_anterior_width,central_width,central_length,posterior_sum\n"
LIST = HEADING + "Pebble 1,44.0,8.0,9.5,30\nPebble 2,46.5,8.5,10.0,32\nPebble 3,50.0,9.2,11.0,34\n"


def names(ranked):
    return [each.mould.name for each in ranked]


def test_a_list_is_read_with_exact_figures():
    assert read_moulds(LIST)[1] == Mould(
        "Pebble 2", Decimal("46.5"), Decimal("8.5"), Decimal("10.0"), Decimal("32")
    )


def test_semicolons_with_decimal_commas_and_a_byte_order_mark_are_read_alike():
    text = "\ufeff" + LIST.replace(",", ";").replace(".", ",")
    assert read_moulds(text) == read_moulds(LIST)


def test_columns_may_come_in_any_order_and_empty_cells_are_unknown():
    moulds = read_moulds("central_width,mould\n8.5,Pebble\n,Shell\n")
    assert moulds[0].central_width == Decimal("8.5")
    assert moulds[1].central_width is None
    assert moulds[0].six_anterior_width is None


def test_blank_lines_and_windows_line_ends_do_no_harm():
    assert len(read_moulds(LIST.replace("\n", "\r\n") + "\r\n\r\n")) == 3


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "heading line"),
        (HEADING, "at least one mould"),
        ("name,central_width\nA,8\n", "mould, six_anterior_width"),
        ("central_width\n8\n", "a column called mould"),
        ("mould,mould\nA,B\n", "each column once"),
        (HEADING + "A,44,8,9,30,7\n", "line 2"),
        (HEADING + "A,44,8,9,30\nA,44,8,9,30\n", "line 3, mould"),
        (HEADING + "A,44,1e1,9,30\n", "line 2, central_width"),
        (HEADING + "A,44,8.500,9,30\n", "line 2, central_width"),
        (HEADING + "A,440,8,9,30\n", "25 to 70 mm"),
        (HEADING + ",44,8,9,30\n", "name of 1 to 60"),
        (HEADING + '"A,44,8,9,30\n', "well-formed CSV"),
    ],
)
def test_a_faulty_list_is_refused_with_its_line_and_column(text, words):
    with pytest.raises(InputError) as refusal:
        read_moulds(text)
    assert words in str(refusal.value)


def test_the_nearest_mould_comes_first():
    wish = Wish(six_anterior_width=46, central_width=8.5)
    assert names(rank_moulds(read_moulds(LIST), wish)) == ["Pebble 2", "Pebble 1", "Pebble 3"]


def test_an_exact_fit_has_no_misfit():
    ranked = rank_moulds(
        read_moulds(LIST), Wish(six_anterior_width=46.5, central_width=8.5, central_length=10)
    )
    assert ranked[0].misfit == 0


def test_a_mould_too_long_behind_comes_last_however_well_it_fits_in_front():
    """Mesiodistal sum not longer than the space: common practice, no source."""
    wish = Wish(six_anterior_width=50, central_width=9.2, posterior_space=33)
    ranked = rank_moulds(read_moulds(LIST), wish)
    assert names(ranked)[-1] == "Pebble 3"
    assert ranked[-1].too_long
    assert any("1.00 mm longer than the space" in reason for reason in ranked[-1].reasons)


def test_a_mould_that_says_less_is_told_so_and_stands_behind_its_equal():
    moulds = [Mould("A", Decimal(46)), Mould("B", Decimal(46), Decimal("8.5"))]
    ranked = rank_moulds(moulds, Wish(six_anterior_width=46, central_width=8.5))
    assert names(ranked) == ["B", "A"]
    assert "central width not in the list" in ranked[1].reasons


def test_reasons_give_each_difference_with_its_sign():
    first = rank_moulds(read_moulds(LIST), Wish(six_anterior_width=46))[0]
    assert first.reasons == ("six front teeth 46.5 mm, +0.50 mm against the wish",)


def test_a_wish_for_nothing_is_refused():
    with pytest.raises(InputError, match="at least one of"):
        rank_moulds(read_moulds(LIST), Wish())


def outcome(text):
    try:
        return len(read_moulds(text))
    except LabCasesError as refusal:
        return str(refusal)


@given(some.text(max_size=200))
def test_any_text_is_read_or_refused_in_one_line(text):
    found = outcome(text)
    assert found if isinstance(found, int) else found.count("\n") == 0


@given(widths=some.lists(some.decimals(25, 70, places=1), min_size=2, max_size=12), wish=some.floats(25, 70))
def test_misfit_never_falls_along_the_ranking(widths, wish):
    moulds = [Mould(f"M{i}", width) for i, width in enumerate(widths)]
    ranked = rank_moulds(moulds, Wish(six_anterior_width=wish))
    misfits = [each.misfit for each in ranked]
    assert misfits == sorted(misfits)
    assert len(ranked) == len(moulds)


def test_every_fault_of_a_list_is_named_at_once():
    text = HEADING + "A,440,8,1e1,30\nB,44\nC,44,8,9,30\nC,45,8,9,30\n,44,8,9,30\n"
    with pytest.raises(FaultyMoulds) as refusal:
        read_moulds(text)
    assert [fault.field for fault in refusal.value.faults] == [
        "line 2, six_anterior_width",
        "line 2, central_length",
        "line 3",
        "line 5, mould",
        "line 6, mould",
    ]
    assert str(refusal.value) == str(refusal.value.faults[0])


def test_a_list_that_is_written_reads_as_itself():
    moulds = (Mould('Pebble "1", large', Decimal("44.25"), None, Decimal(10)), *read_moulds(LIST))
    assert read_moulds(write_moulds(moulds)) == moulds
