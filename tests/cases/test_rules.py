"""Rules about one case: what a prescription lacks, where the path goes next, what may be started."""

import datetime

import pytest

from labcases.cases.choices import USUAL_PATHS, CaseKind, CaseState, Location, Place, StageKind, StageState
from labcases.cases.models import Case, Event, Stage
from labcases.cases.rules import (
    is_told_to_the_practice,
    kinds_to_repeat,
    location_after,
    may_be_started,
    missing_from_prescription,
    next_open_stage,
    next_working_day,
    usual_path,
)
from labcases.people.models import Laboratory, Practice, User
from tests.cases.walking import receive, walk_to
from tests.factories.cases import NOW, taken_in_case
from tests.factories.people import ManagerFactory


def lacks(case):
    case = Case.objects.prefetch_related("stages").select_related("practice", "prescriber").get(pk=case.pk)
    laboratory = Laboratory.objects.first() or Laboratory(name="", address="")
    return [missing.field for missing in missing_from_prescription(case, laboratory)]


# ---- what a prescription lacks ----

TAKEN_AWAY = {
    "laboratory": lambda case: Laboratory.objects.update(address=""),
    "prescriber": lambda case: User.objects.filter(pk=case.prescriber_id).update(licence_number=""),
    "practice": lambda case: Practice.objects.filter(pk=case.practice_id).update(address="  "),
    "patient_code": lambda case: Case.objects.update(patient_code=" "),
    "work_description": lambda case: Case.objects.update(work_description="\n"),
    "base_material": lambda case: Case.objects.update(base_material=""),
    "wanted_on": lambda case: Stage.objects.update(due_on=None),
    "subcontractor": lambda case: Case.objects.update(subcontractor=""),
    "signed": lambda case: Case.objects.update(signed_by=None, signed_at=None),
    "impression_material": lambda case: Case.objects.update(impression_material=""),
}


@pytest.mark.django_db
@pytest.mark.parametrize("field", TAKEN_AWAY)
def test_each_required_field_is_missed_by_its_name_alone(field):
    case = taken_in_case()
    assert lacks(case) == []
    TAKEN_AWAY[field](case)
    assert lacks(case) == [field]


@pytest.mark.django_db
def test_without_a_prescriber_only_the_prescriber_is_missed_not_also_a_licence():
    case = taken_in_case()
    Case.objects.update(prescriber=None)
    assert lacks(case) == ["prescriber"]


@pytest.mark.django_db
def test_a_laboratory_that_was_never_named_is_missed():
    case = taken_in_case()
    Laboratory.objects.all().delete()
    assert lacks(case) == ["laboratory"]


@pytest.mark.django_db
def test_what_is_missing_is_said_in_words_of_its_own():
    case = taken_in_case()
    for take_away in TAKEN_AWAY.values():
        take_away(case)
    case = Case.objects.prefetch_related("stages").get(pk=case.pk)
    missing = missing_from_prescription(case, Laboratory.objects.get())
    assert {each.field for each in missing} == set(TAKEN_AWAY)
    assert len({each.words for each in missing}) == len(TAKEN_AWAY)


@pytest.mark.django_db
def test_the_impression_material_is_asked_only_while_a_tray_is_to_be_made():
    case = taken_in_case(starts_at=StageKind.MASTER_CAST, impression_material="")
    assert lacks(case) == []
    assert lacks(taken_in_case(impression_material="")) == ["impression_material"]


@pytest.mark.django_db
@pytest.mark.parametrize("field", ["patient_age", "patient_sex", "shade", "tooth_wishes", "notes"])
def test_a_wish_or_a_note_is_never_missed(field):
    case = taken_in_case()
    Case.objects.update(**{field: None if field == "patient_age" else ""})
    assert lacks(case) == []


@pytest.mark.django_db
def test_a_day_that_has_gone_by_does_not_count_as_the_day_wanted():
    manager = ManagerFactory()
    case = taken_in_case()
    walk_to(case, StageKind.OCCLUSION_RIMS, manager)
    Stage.objects.exclude(kind=StageKind.DEFINITIVE_IMPRESSIONS).update(due_on=None)
    assert lacks(case) == ["wanted_on"]


# ---- paths ----


@pytest.mark.parametrize("kind", CaseKind)
def test_every_delivered_path_ends_with_the_insertion_and_has_each_stage_once(kind):
    path = usual_path(kind)
    assert path == USUAL_PATHS[kind]
    assert path[-1] == StageKind.INSERTION
    assert len(set(path)) == len(path)
    assert {stage.place for stage in path} == {Place.CLINIC, Place.LABORATORY}


def test_the_path_of_a_complete_denture_is_the_trades():
    assert [stage.value for stage in usual_path("complete")] == [
        "preliminary_impressions",
        "custom_tray",
        "definitive_impressions",
        "master_cast",
        "record_base",
        "occlusion_rims",
        "jaw_relation",
        "tooth_arrangement",
        "try_in",
        "processing",
        "insertion",
    ]


def test_an_immediate_denture_has_no_try_in():
    assert set(usual_path("complete")) - set(usual_path("immediate")) == {StageKind.TRY_IN}


def stages(*kinds_and_states):
    return [
        Stage(pk=n, kind=kind, place=StageKind(kind).place, position=n, state=state)
        for n, (kind, state) in enumerate(kinds_and_states, 1)
    ]


def test_the_next_stage_is_the_first_open_one_in_path_order():
    way = stages(
        ("master_cast", "skipped"),
        ("record_base", "done"),
        ("occlusion_rims", "on_hold"),
        ("jaw_relation", "waiting"),
    )
    assert next_open_stage(reversed(way)) is way[2]
    assert next_open_stage(way[:2]) is None
    assert next_open_stage([]) is None


def test_stages_to_repeat_are_each_once_in_path_order_and_end_where_the_work_was():
    way = stages(
        ("record_base", "done"),
        ("occlusion_rims", "done"),
        ("jaw_relation", "returned"),
        ("occlusion_rims", "done"),
        ("jaw_relation", "waiting"),
        ("tooth_arrangement", "waiting"),
    )
    assert kinds_to_repeat(way, to=way[0], last=way[4]) == ["record_base", "occlusion_rims", "jaw_relation"]
    assert kinds_to_repeat(way, to=way[3], last=way[4]) == ["occlusion_rims", "jaw_relation"]


def test_what_was_already_done_twice_is_repeated_once():
    way = stages(
        ("master_cast", "done"),
        ("record_base", "done"),
        ("occlusion_rims", "returned"),
        ("record_base", "done"),
        ("occlusion_rims", "done"),
        ("jaw_relation", "waiting"),
    )
    again = kinds_to_repeat(way, to=way[0], last=way[5])
    assert again == ["master_cast", "record_base", "occlusion_rims", "jaw_relation"]


PLACES = [
    ("clinic", "laboratory", Location.CLINIC, Location.TO_LABORATORY),
    ("clinic", "laboratory", Location.TO_CLINIC, Location.TO_LABORATORY),
    ("clinic", "laboratory", Location.LABORATORY, Location.LABORATORY),
    ("clinic", "clinic", Location.CLINIC, Location.CLINIC),
    ("clinic", None, Location.CLINIC, Location.CLINIC),
    ("laboratory", "clinic", Location.LABORATORY, Location.LABORATORY),
    ("laboratory", "laboratory", Location.LABORATORY, Location.LABORATORY),
    ("laboratory", None, Location.LABORATORY, Location.LABORATORY),
]


@pytest.mark.parametrize(("done", "following", "before", "after"), PLACES)
def test_only_what_was_at_the_clinic_sets_off_for_the_laboratory(done, following, before, after):
    case = Case(location=before)
    assert (
        location_after(case, done=Stage(place=done), following=Stage(place=following) if following else None)
        == after
    )


STARTS = [
    ("laboratory", CaseState.OPEN, Location.LABORATORY, True, ""),
    ("laboratory", CaseState.INCOMPLETE, Location.LABORATORY, True, "prescription is incomplete"),
    ("laboratory", CaseState.CANCELLED, Location.LABORATORY, True, "cancelled"),
    ("laboratory", CaseState.COMPLETE, Location.LABORATORY, True, "complete"),
    ("laboratory", CaseState.OPEN, Location.LABORATORY, False, "earlier stage"),
    ("laboratory", CaseState.OPEN, Location.TO_LABORATORY, True, "not been received"),
    ("laboratory", CaseState.OPEN, Location.CLINIC, True, "not been received"),
    ("clinic", CaseState.OPEN, Location.LABORATORY, True, "not been handed"),
    ("clinic", CaseState.OPEN, Location.TO_CLINIC, True, ""),
    ("clinic", CaseState.OPEN, Location.CLINIC, True, ""),
    ("clinic", CaseState.OPEN, Location.TO_LABORATORY, True, ""),
]


@pytest.mark.parametrize(("place", "state", "location", "is_current", "words"), STARTS)
def test_why_a_stage_cannot_be_started_is_said_in_words(place, state, location, is_current, words):
    stage = Stage(pk=7, place=place)
    case = Case(state=state, location=location, current_stage_id=7 if is_current else 8)
    said = may_be_started(case, stage)
    assert words in said
    assert bool(said) is bool(words)


@pytest.mark.parametrize(
    ("day", "after"),
    [("2026-03-05", "2026-03-06"), ("2026-03-06", "2026-03-09"), ("2026-03-07", "2026-03-09")],
)
def test_the_next_working_day_leaves_out_the_weekend(day, after):
    assert next_working_day(datetime.date.fromisoformat(day)) == datetime.date.fromisoformat(after)


@pytest.mark.django_db
def test_received_work_of_the_whole_path_may_be_started_when_its_turn_has_come():
    manager = ManagerFactory()
    case = taken_in_case()
    receive(case, manager, now=NOW)
    case = Case.objects.get(pk=case.pk)
    obstacles = {stage.kind: may_be_started(case, stage) for stage in case.stages.all()}
    assert [kind for kind, obstacle in obstacles.items() if not obstacle] == [StageKind.CUSTOM_TRAY]
    assert case.stages.get(kind=StageKind.CUSTOM_TRAY).state == StageState.WAITING


@pytest.mark.parametrize(
    ("taken_back", "is_told"), [("finished", True), ("started", False), ("step_ticked", False)]
)
def test_what_was_taken_back_is_told_where_the_act_itself_was(taken_back, is_told):
    assert is_told_to_the_practice(Event(act=taken_back)) is is_told
    assert is_told_to_the_practice(Event(act="undone", before={"act": taken_back})) is is_told
