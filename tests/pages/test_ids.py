"""Ids out of forms: what a page never wrote is left out, whatever it is."""

import pytest

from labcases.pages.ids import joined_ids, read_id, read_ids

NONE_OF_THEM = ("", "x", "-1", "1.0", " 1", "1 ", "+1", "1e3", "٣", "²", "1\x00", "9" * 10, "9" * 5000)


@pytest.mark.parametrize("text", ["0", "7", "999999999", "007"])
def test_an_id_is_its_digits(text):
    assert read_id(text) == int(text)


@pytest.mark.parametrize("text", NONE_OF_THEM)
def test_what_no_row_can_have_is_no_id(text):
    assert read_id(text) is None


def test_of_many_the_ids_are_left_in_their_order():
    assert read_ids(["3", *NONE_OF_THEM, "1", "3"]) == [3, 1, 3]


def test_joined_ids_are_as_many_as_asked():
    texts = ["17-3", "17", "17-3-2", "17-", "-3", "17-x", "17:4", *NONE_OF_THEM]
    assert list(joined_ids(texts, of=2)) == [(17, 3)]
    assert list(joined_ids(texts, of=3)) == [(17, 3, 2)]
    assert list(joined_ids(texts, of=2, by=":")) == [(17, 4)]
