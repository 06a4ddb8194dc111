"""The crossing line is arithmetic on plain values: no database, no page."""

import re
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labcases.pages.crossing import STATE_WORDS, Form, Stop, layout_crossing, stops_in_words
from labcases.prosthodontics.errors import InputError

PATH = (
    ("Preliminary impressions", "clinic"),
    ("Custom tray", "laboratory"),
    ("Definitive impressions", "clinic"),
    ("Master cast", "laboratory"),
    ("Record base", "laboratory"),
    ("Occlusion rims", "laboratory"),
    ("Jaw relation record", "clinic"),
    ("Tooth arrangement", "laboratory"),
    ("Try-in", "clinic"),
    ("Processing and finishing", "laboratory"),
    ("Insertion", "clinic"),
)
COORDINATES = re.compile(r"[MLCQ ]|(-?\d+)")

stop_texts = st.text(alphabet="abcdefgh -", min_size=1, max_size=40).filter(str.strip)


@st.composite
def ways(draw):
    """A way of up to sixteen stops, with returns to any earlier one."""
    count = draw(st.integers(1, 16))
    current = draw(st.integers(-1, count - 1))
    return [
        Stop(
            label=draw(stop_texts),
            place=draw(st.sampled_from(["clinic", "laboratory"])),
            state=draw(st.sampled_from(sorted(STATE_WORDS))),
            date_text=draw(st.sampled_from(["", "Thu 26 Nov", "due Thu 26 Nov"])),
            visit=draw(st.integers(1, 4)),
            current=index == current,
            back_to=draw(st.one_of(st.none(), st.integers(0, index - 1))) if index else None,
        )
        for index in range(count)
    ]


def complete_denture(at: int = 5) -> list[Stop]:
    return [
        Stop(
            label=label,
            place=place,
            state="done" if index < at else "in_progress" if index == at else "waiting",
            date_text="Thu 26 Nov",
            current=index == at,
        )
        for index, (label, place) in enumerate(PATH)
    ]


def sent_back_from_try_in(to: int = 7) -> list[Stop]:
    way = complete_denture(at=9)[:9]
    way[8] = replace(way[8], state="returned", back_to=to)
    again = [replace(way[7], state="in_progress", visit=2, current=True)]
    return way + again


@pytest.mark.parametrize("form", list(Form))
def test_the_clinic_lies_on_one_bank_and_the_laboratory_on_the_other(form):
    drawing = layout_crossing(complete_denture(), form=form)
    banks = {"clinic": set(), "laboratory": set()}
    for (_, place), mark in zip(PATH, drawing.marks, strict=True):
        banks[place].add(mark.x if form is Form.TALL else mark.y)
    (clinic,), (laboratory,) = banks["clinic"], banks["laboratory"]
    assert clinic < laboratory


@given(form=st.sampled_from(Form), stops=ways())
@settings(max_examples=150)
def test_time_runs_one_way_and_everything_lies_inside_the_picture(form, stops):
    drawing = layout_crossing(stops, form=form)
    along = [mark.y if form is Form.TALL else mark.x for mark in drawing.marks]
    assert all(earlier < later for earlier, later in pairwise(along))
    for mark in drawing.marks:
        assert mark.ring <= mark.x <= drawing.width - mark.ring
        assert mark.ring <= mark.y <= drawing.height - mark.ring
    for line in (line for mark in drawing.marks for line in mark.lines):
        assert 0 <= line.x <= drawing.width
        assert 0 < line.y < drawing.height


@given(stops=ways())
@settings(max_examples=60)
def test_texts_of_neighbours_on_one_bank_do_not_overlap(stops):
    drawing = layout_crossing(stops, form=Form.TALL)
    last = {}
    for stop, mark in zip(stops, drawing.marks, strict=True):
        top, bottom = mark.lines[0].y - 12, mark.lines[-1].y
        assert top >= last.get(stop.place, 0)
        last[stop.place] = bottom


def test_a_long_word_is_kept_whole_across_lines_of_the_label():
    drawing = layout_crossing([Stop(label="Processing and finishing", place="laboratory", state="waiting")])
    labels = [line.text for line in drawing.marks[0].lines]
    assert labels == ["Processing and", "finishing"]


@pytest.mark.parametrize("form", [Form.WIDE, Form.TALL])
def test_a_compound_too_long_for_a_line_is_parted_where_its_language_parts_it(form):
    stops = [Stop(label="Unterfütterungsabformung", place="clinic", state="waiting")]
    (mark,) = layout_crossing(stops, form=form).marks
    assert [line.text for line in mark.lines] == ["Unter-", "fütterungs-", "abformung"]


def test_the_way_up_to_the_current_stop_is_travelled_and_the_rest_lies_ahead():
    kinds = [segment.kind for segment in layout_crossing(complete_denture(at=5)).segments]
    assert kinds == ["travelled"] * 5 + ["ahead"] * 5


def test_the_way_to_and_from_a_skipped_stop_is_dashed():
    stops = complete_denture(at=3)
    stops[1] = replace(stops[1], state="skipped")
    kinds = [segment.kind for segment in layout_crossing(stops).segments]
    assert kinds[:3] == ["skipped", "skipped", "travelled"]


def test_a_crossing_is_a_curve_and_staying_on_a_bank_a_straight_line():
    commands = ["C" in segment.d for segment in layout_crossing(complete_denture()).segments]
    changes = [before[1] != after[1] for before, after in pairwise(PATH)]
    assert commands == changes


@pytest.mark.parametrize("form", list(Form))
@pytest.mark.parametrize("to", [5, 7])
def test_a_return_loops_back_from_its_stop_to_the_earlier_one(form, to):
    drawing = layout_crossing(sent_back_from_try_in(to), form=form)
    (loop,) = drawing.loops
    numbers = [int(found) for found in COORDINATES.findall(loop.d) if found]
    start, end = numbers[:2], numbers[-2:]
    axis = 1 if form is Form.TALL else 0
    left, landed = drawing.marks[8], drawing.marks[to]
    assert start[axis] == (left.x, left.y)[axis]
    assert end[axis] == (landed.x, landed.y)[axis]
    across = 1 - axis
    water_side = (landed.x, landed.y)[across] - end[across]
    assert water_side > landed.radius, "the arrow lands on the laboratory's stop from the water"


def test_a_case_that_never_came_back_has_no_loop():
    assert layout_crossing(complete_denture()).loops == ()


def test_only_the_current_stop_is_ringed():
    current = [mark.current for mark in layout_crossing(complete_denture(at=4)).marks]
    assert current == [index == 4 for index in range(11)]


def test_dates_and_states_that_a_shape_may_not_tell_are_written():
    stops = [
        Stop(label="Record base", place="laboratory", state="on_hold", date_text="due Thu 26 Nov", visit=2)
    ]
    texts = [line.text for line in layout_crossing(stops).marks[0].lines]
    assert texts == ["Record base", "visit 2", "due Thu 26 Nov", "on hold"]


def test_the_small_form_has_no_text_and_fits_a_phone():
    drawing = layout_crossing(complete_denture(), form=Form.SMALL)
    assert all(mark.lines == () for mark in drawing.marks)
    assert drawing.width <= 300


def test_a_usual_case_fits_a_page_and_one_with_many_visits_scrolls():
    assert not layout_crossing(complete_denture()).is_long
    assert layout_crossing(complete_denture() * 3).is_long


def test_every_stop_is_told_in_words_with_its_place_state_and_date():
    words = stops_in_words(sent_back_from_try_in())
    assert words[5] == "Occlusion rims, at the laboratory, done, Thu 26 Nov"
    assert words[8] == "Try-in, at the clinic, sent back to tooth arrangement, Thu 26 Nov"
    assert words[9] == (
        "Tooth arrangement, visit 2, at the laboratory, in progress, Thu 26 Nov (the case is here now)"
    )


@pytest.mark.parametrize("form", list(Form))
def test_paths_hold_whole_numbers_only_so_that_no_language_writes_a_comma_into_them(form):
    drawing = layout_crossing(sent_back_from_try_in(), form=form)
    for d in [segment.d for segment in drawing.segments] + [loop.d for loop in drawing.loops]:
        assert re.fullmatch(r"[MLCQ0-9 -]+", d)


def test_a_case_without_stops_draws_two_empty_banks():
    drawing = layout_crossing([])
    assert (drawing.marks, drawing.segments, len(drawing.banks)) == ((), (), 2)


@pytest.mark.parametrize(
    ("change", "field"),
    [({"place": "shelf"}, "place"), ({"state": "lost"}, "state"), ({"back_to": 2}, "back_to")],
)
def test_a_stop_that_cannot_be_drawn_is_refused_by_name(change, field):
    stops = complete_denture()
    stops[2] = replace(stops[2], **change)
    with pytest.raises(InputError) as refused:
        layout_crossing(stops)
    assert refused.value.field == field
