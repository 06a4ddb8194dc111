"""Patterns in a chart: Western Electric rules (seen in part, recalled in part)."""

import numpy as np
import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.statistics import signals
from labcases.prosthodontics.statistics.runs import RULES, SOURCE


def rules(points):
    return {(signal.rule, signal.position) for signal in signals(points, centre=0, sigma=1)}


def test_one_point_beyond_three_sigma():
    assert ("one_beyond_3", 2) in rules([0.1, -0.2, 3.1, 0.3])
    assert not any(rule == "one_beyond_3" for rule, _ in rules([0.1, -0.2, 3.0, 0.3]))


def test_two_of_three_beyond_two_sigma_on_one_side():
    assert rules([2.1, 0.5, 2.2]) == {("two_of_three_beyond_2", 2)}
    assert rules([2.1, 0.5, -2.2]) == set()
    assert rules([2.1, 0.5, 0.1, 2.2]) == set()


def test_four_of_five_beyond_one_sigma_on_one_side():
    assert rules([1.1, 1.2, -0.5, 1.3, 1.1]) == {("four_of_five_beyond_1", 4)}
    assert rules([1.1, 1.2, -0.5, 1.3, -1.1]) == set()


def test_eight_in_a_row_on_one_side():
    half = [0.5, 0.4, 0.6, 0.3, 0.5, 0.2, 0.6, 0.4]
    assert rules(half) == {("eight_on_one_side", 7)}
    assert rules([*half[:7], -0.1]) == set()


def test_six_in_a_row_that_climb_or_fall():
    climb = [-0.9, -0.5, -0.2, 0.1, 0.4, 0.8]
    assert rules(climb) == {("six_trending", 5)}
    assert rules(climb[::-1]) == {("six_trending", 5)}
    assert rules([*climb[:3], -0.2, 0.1, 0.4, 0.8]) == set()


def test_fourteen_by_turns_up_and_down():
    turns = [0.3 * (-1) ** i for i in range(14)]
    assert rules(turns) == {("fourteen_alternating", 13)}
    assert rules(turns[:13]) == set()


def test_a_quiet_chart_shows_no_pattern():
    assert rules([0.2, -0.4, 0.5, 0.1, -0.6, 0.3, -0.1, -0.2, 0.4, 0.0]) == set()


def test_chance_seldom_makes_a_pattern_but_a_shift_of_two_sigma_soon_does():
    random = np.random.default_rng(11)
    quiet = sum(bool(rules(random.normal(0, 1, 10))) for _ in range(300)) / 300
    moved = sum(bool(rules(random.normal(2, 1, 10))) for _ in range(300)) / 300
    assert quiet < 0.2
    assert moved > 0.9


def test_every_rule_has_words_and_the_list_its_source():
    found = signals([0, 0, 4], centre=0, sigma=1)
    assert found[0].words == "Point 3: one point more than 3 σ from the centre."
    assert len(RULES) == 6
    assert "Western Electric" in SOURCE.words


def test_a_chart_without_spread_is_refused():
    with pytest.raises(InputError, match="sigma"):
        signals([1, 2], centre=1, sigma=0)
