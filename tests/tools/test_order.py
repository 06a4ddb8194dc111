"""In which order tests are handed to two workers."""

from types import SimpleNamespace

from tests.conftest import LONG, long_ones_first

SHORT = [f"tests/cases/test_{name}.py" for name in ("one", "two", "three")]


def items(*files):
    return [SimpleNamespace(nodeid=f"{file}::test_{number}") for file in files for number in (1, 2)]


def files_of(found):
    return list(dict.fromkeys(item.nodeid.partition("::")[0] for item in found))


def test_long_files_come_first_two_at_a_time_with_a_short_one_behind_each():
    long = [LONG[1], LONG[2], LONG[3]]
    found = long_ones_first(items(SHORT[0], long[2], SHORT[1], long[0], SHORT[2], long[1]))
    assert files_of(found) == [long[0], long[1], SHORT[0], SHORT[1], long[2], SHORT[2]]


def test_the_tests_of_a_file_stay_together_and_none_is_lost():
    given = items(SHORT[0], LONG[1], SHORT[1])
    found = long_ones_first(given[::-1])
    assert sorted(item.nodeid for item in found) == sorted(item.nodeid for item in given)
    assert [item.nodeid for item in found[:2]] == [f"{LONG[1]}::test_2", f"{LONG[1]}::test_1"]


def test_a_folder_whose_tests_share_what_is_dear_is_one_piece():
    forms = LONG[0]
    found = long_ones_first(items(f"{forms}test_one.py", SHORT[0], f"{forms}test_two.py"))
    assert files_of(found) == [f"{forms}test_one.py", f"{forms}test_two.py", SHORT[0]]
