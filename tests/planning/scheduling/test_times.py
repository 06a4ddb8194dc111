import pytest

from labcases.planning.scheduling.times import SKILLS, USUAL_TIMES, StandardTime
from labcases.planning.scheduling.work import Piece
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source

OWN = Source("this laboratory's finished stages", Provenance.DERIVED, "H")


@pytest.mark.parametrize("stage", USUAL_TIMES)
def test_a_delivered_time_is_marked_as_common_practice(stage: str) -> None:
    """Common practice, no source: starting values that a laboratory replaces by its own."""
    time = USUAL_TIMES[stage]
    assert time.stage == stage
    assert time.source.provenance is Provenance.COMMON
    assert time.skill in SKILLS


@pytest.mark.parametrize(
    ("stages", "low", "high"),
    [
        (("custom_tray",), 2, 2),
        (("record_base", "occlusion_rims"), 2, 2),
        (("tooth_arrangement",), 3, 4),
        (("processing",), 3, 3),
        (("reline",), 1, 2),
        (("repair",), 1, 2),
        (("copy_template",), 3, 3),
    ],
)
def test_laboratory_days_lie_within_two_published_calendars(
    stages: tuple[str, ...], low: int, high: int
) -> None:
    """Two laboratories' published calendars, recalled: examples, not norms."""
    assert low <= sum(USUAL_TIMES[stage].lab_days for stage in stages) <= high


def test_processing_waits_through_a_long_cure_between_two_turns_of_hands() -> None:
    """From memory: eight hours at 74 °C, then half an hour on the bench and a quarter in water."""
    first, last = USUAL_TIMES["processing"].pieces()
    assert first.wait_after >= 8 * 60 + 30 + 15 - 5
    assert last.minutes > 0


def test_one_arch_takes_less_work_and_waits_as_long() -> None:
    time = StandardTime("custom_tray", 30, 45, 60, 2, "casts_and_trays", one_arch_percent=60)
    assert time.pieces(arches=2) == (Piece(30, 45), Piece(60))
    assert time.pieces(arches=1) == (Piece(18, 45), Piece(36))


def test_a_stage_without_a_second_turn_of_hands_waits_at_its_end() -> None:
    assert StandardTime("reline", 30, 45, 0, 2, "processing").pieces() == (Piece(30, 45),)


def test_an_adopted_time_is_shared_out_as_before_and_names_its_source() -> None:
    time = StandardTime("processing", 120, 530, 180, 3, "processing").with_hands_on(200, OWN)
    assert (time.hands_on, time.waiting, time.finishing, time.hands) == (80, 530, 120, 200)
    assert time.source == OWN


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("hands_on", 0),
        ("hands_on", 10_001),
        ("waiting", -1),
        ("finishing", 20_000),
        ("lab_days", 61),
        ("one_arch_percent", 0),
        ("skill", "juggling"),
    ],
)
def test_an_impossible_time_is_refused_by_name(field: str, value: object) -> None:
    good = {
        "stage": "reline",
        "hands_on": 60,
        "waiting": 0,
        "finishing": 0,
        "lab_days": 1,
        "skill": "processing",
    }
    with pytest.raises(InputError, match=field):
        StandardTime(**{**good, field: value})
