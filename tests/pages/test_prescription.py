"""The prescription's form: what it keeps, what it asks about once more, what it says of the rest."""

import datetime
from decimal import Decimal

import pytest
from django.http import QueryDict

from labcases.cases.choices import CaseState, StageKind
from labcases.cases.rules import WORDS, missing_from_prescription
from labcases.measurements.queries import prescribed_for, standing_readings
from labcases.pages.chairside import GROUPS, NAMES
from labcases.pages.prescription import PrescriptionForm, guidance_for
from labcases.prosthodontics.quantities import quantities_for
from tests.factories.cases import FULL_PRESCRIPTION, NOW, PathStepFactory, taken_in_case
from tests.factories.measurements import entry
from tests.factories.people import (
    ClinicianFactory,
    LaboratoryFactory,
    ManagerFactory,
    PracticeFactory,
)

pytestmark = pytest.mark.django_db

TODAY = NOW.date()
LIP = "figure_papilla_to_resting_lip"


def day(count):
    return (TODAY + datetime.timedelta(days=count)).isoformat()


def typed(**changes):
    """A whole prescription as its boxes hold it."""
    prescriber = changes.pop("by_whom", None) or ClinicianFactory()
    boxes = {
        **FULL_PRESCRIPTION,
        "practice": prescriber.practice_id,
        "prescriber": prescriber.pk,
        "kind": "complete",
        "arches": "both",
        "wanted_definitive_impressions": day(7),
        "wanted_jaw_relation": day(14),
        "sign": "on",
    }
    return query(boxes | changes)


def query(boxes):
    found = QueryDict(mutable=True)
    found.update({name: value for name, value in boxes.items() if value is not None})
    return found


def form_of(data, *, user=None, case=None):
    return PrescriptionForm(data, user=user or ManagerFactory(), today=TODAY, case=case)


def taken_in(**changes):
    LaboratoryFactory()
    form = form_of(typed(**changes))
    assert form.is_valid(), form.errors
    return form.take_in(by=form.user, now=NOW)


def boxes_of(case, **changes):
    """The boxes of a case's prescription as its page shows them, some of them changed."""
    form = form_of(None, case=case)
    shown = {name: form[name].value() for name in form.fields}
    return query({name: value for name, value in shown.items() if value not in (None, False)} | changes)


def amended(case, **changes):
    case.refresh_from_db()
    form = form_of(boxes_of(case, **changes), case=case)
    assert form.is_valid(), form.errors
    form.amend(by=form.user, now=NOW, expected_version=case.version)
    case.refresh_from_db()
    return case


# ---- a new prescription ----


def test_a_whole_prescription_opens_a_complete_case():
    case = taken_in()
    assert case.state == CaseState.OPEN
    assert case.current_stage.kind == StageKind.CUSTOM_TRAY
    assert case.stages.get(kind="jaw_relation").due_on == TODAY + datetime.timedelta(days=14)


@pytest.mark.parametrize("box", ["patient_code", "work_description", "base_material", "sign"])
def test_an_incomplete_prescription_is_kept_as_incomplete(box):
    assert taken_in(**{box: None}).state == CaseState.INCOMPLETE


def test_figures_are_kept_with_the_instrument_of_their_group():
    case = taken_in(**{LIP: "7,5", "figure_incisal_display": "-0.5", "read_with_lip": "papillameter"})
    found = {reading.quantity: (reading.value, reading.instrument) for reading in standing_readings(case)}
    assert found == {
        "papilla_to_resting_lip": (Decimal("7.5"), "papillameter"),
        "incisal_display": (Decimal("-0.5"), "papillameter"),
    }


def test_prescribed_dimensions_are_kept_by_arch():
    case = taken_in(prescribed_maxillary_anterior_height="23", prescribed_mandibular_anterior_width="7")
    assert prescribed_for(case, "occlusion_rims") == {
        "maxillary": {"anterior_height": Decimal("23")},
        "mandibular": {"anterior_width": Decimal("7")},
    }


@pytest.mark.parametrize(
    ("kind", "start"),
    [("complete", "custom_tray"), ("reline", "reline"), ("copy", "copy_template")],
)
def test_a_case_comes_in_at_the_first_laboratory_stage_unless_told_otherwise(kind, start):
    changes = {"wanted_definitive_impressions": None, "wanted_jaw_relation": None, "wanted_insertion": day(9)}
    assert taken_in(kind=kind, **changes).current_stage.kind == start


def test_a_case_may_come_in_late():
    changes = {"starts_at": "tooth_arrangement", "wanted_definitive_impressions": None}
    case = taken_in(**changes, wanted_jaw_relation=None, wanted_try_in=day(5))
    assert case.current_stage.kind == StageKind.TOOTH_ARRANGEMENT


@pytest.mark.parametrize(
    ("changes", "box", "words"),
    [
        ({"kind": "reline", "starts_at": "try_in"}, "starts_at", "no such stage"),
        ({"kind": "reline"}, "wanted_jaw_relation", "does not come to this appointment"),
        ({"starts_at": "tooth_arrangement"}, "wanted_jaw_relation", "does not come to this appointment"),
        ({"wanted_jaw_relation": day(-1)}, "wanted_jaw_relation", "has passed"),
        ({"wanted_jaw_relation": day(3)}, "wanted_jaw_relation", "before the definitive impressions"),
        ({"wanted_jaw_relation": "soon"}, "wanted_jaw_relation", "valid date"),
        ({LIP: "1e1"}, LIP, "allowed: 0 to 20 mm"),
        ({LIP: "21"}, LIP, "allowed: 0 to 20 mm"),
        ({"patient_age": "121"}, "patient_age", "120"),
        ({"arches": "maxillary", "prescribed_mandibular_anterior_height": "18"}, None, "no mandibular arch"),
    ],
)
def test_what_cannot_be_is_refused_at_its_box(changes, box, words):
    data = typed(**changes)
    form = form_of(data)
    assert not form.is_valid()
    box = box or "prescribed_mandibular_anterior_height"
    assert any(words in error for error in form.errors[box]), form.errors
    assert form[box].value() == data[box]


def test_a_prescriber_of_another_practice_is_refused():
    form = form_of(typed(practice=PracticeFactory().pk))
    assert not form.is_valid()
    assert "does not work at" in form.errors["prescriber"][0]


def test_a_clinician_prescribes_for_the_own_practice_alone():
    clinician, other = ClinicianFactory(), ClinicianFactory()
    form = form_of(typed(by_whom=other), user=clinician)
    assert "practice" not in form.fields
    assert not form.is_valid()
    assert list(form.errors) == ["prescriber"]
    own = form_of(typed(by_whom=clinician, practice=other.practice_id), user=clinician)
    assert own.is_valid(), own.errors
    assert own.take_in(by=clinician, now=NOW).practice == clinician.practice


# ---- unusual figures ----


def test_an_unusual_figure_waits_for_one_tick():
    asked = form_of(typed(**{LIP: "15"}))
    assert not asked.is_valid()
    assert list(asked.errors) == ["keep_unusual"]
    seen = asked["unusual_seen"].value()
    assert "15" in seen
    sure = form_of(typed(**{LIP: "15", "keep_unusual": "on", "unusual_seen": seen}))
    assert sure.is_valid(), sure.errors


def test_a_tick_counts_for_just_the_figures_it_was_given_for():
    asked = form_of(typed(**{LIP: "15"}))
    asked.is_valid()
    changed = typed(**{LIP: "16", "keep_unusual": "on", "unusual_seen": asked["unusual_seen"].value()})
    again = form_of(changed)
    assert not again.is_valid()
    assert again["keep_unusual"].value() is False


def test_an_unusual_prescribed_dimension_waits_for_the_tick_too():
    form = form_of(typed(prescribed_maxillary_anterior_height="40"))
    assert not form.is_valid()
    assert "Anterior height, maxillary" in form.errors["keep_unusual"][0]


# ---- a change ----


def test_an_unchanged_prescription_keeps_its_signature_and_figures():
    case = taken_in_case(figures=[entry("papilla_to_resting_lip", "7.5")])
    (before,) = standing_readings(case)
    amended(case)
    assert case.signed_at is not None
    assert standing_readings(case) == [before]


def test_a_changed_field_takes_the_signature_away():
    assert amended(taken_in_case(), shade="Cool").signed_at is None


def test_a_figure_that_stood_is_corrected_with_a_reason():
    case = taken_in_case(figures=[entry("papilla_to_resting_lip", "7.5", instrument="papillameter")])
    form = form_of(boxes_of(case, **{LIP: "8.5"}), case=case)
    assert not form.is_valid()
    assert "reason" in form.errors
    amended(case, **{LIP: "8.5"}, reason="Read from the wrong scale")
    (now,) = standing_readings(case)
    assert (now.value, now.reason, now.instrument) == (
        Decimal("8.5"),
        "Read from the wrong scale",
        "papillameter",
    )


def test_a_figure_that_stood_is_never_emptied():
    case = taken_in_case(figures=[entry("papilla_to_resting_lip", "7.5")])
    form = form_of(boxes_of(case, **{LIP: ""}), case=case)
    assert not form.is_valid()
    assert "7.5 mm is recorded" in form.errors[LIP][0]


def test_an_emptied_prescribed_dimension_is_taken_back():
    case = taken_in_case(prescribed={("occlusion_rims", "maxillary", "anterior_height"): Decimal("23")})
    amended(case, prescribed_maxillary_anterior_height="")
    assert prescribed_for(case, "occlusion_rims") == {}


def test_an_emptied_day_is_taken_away_and_others_stay():
    case = taken_in_case()
    stays = case.stages.get(kind="insertion").due_on
    amended(case, wanted_try_in="")
    assert case.stages.get(kind="try_in").due_on is None
    assert case.stages.get(kind="insertion").due_on == stays


def test_a_day_that_has_passed_stays_unless_it_is_changed():
    case = taken_in_case(now=NOW - datetime.timedelta(days=60))
    amended(case, shade="Cool")
    assert case.shade == "Cool"


# ---- what it shows ----


def test_every_figure_that_the_clinic_takes_before_the_rims_has_a_box():
    asked = {
        kind.name
        for stage in ("preliminary_impressions", "definitive_impressions")
        for kind in quantities_for(stage=stage, taken_by="clinic")
    }
    assert asked <= set(NAMES)


def test_a_folded_group_opens_when_it_holds_something():
    def is_open(form):
        return {part["group"].key: part["open"] for part in form.groups}

    folded = {group.key: not group.folded for group in GROUPS}
    assert is_open(form_of(None)) == folded
    assert is_open(form_of(typed(figure_sulcus_to_papilla="12.5"))) == folded | {"cast": True}
    assert is_open(form_of(typed(figure_interalar_width="x"))) == folded | {"face": True}


def test_published_figures_follow_what_is_typed_and_fill_nothing_in():
    form = form_of(typed(patient_age="71", patient_sex="female", figure_upper_lip_length="22"))
    labels = [each.label for each in form.guidance]
    assert "age 60 and over" in labels
    assert "upper lip 21 to 25 mm" in labels
    assert form["figure_incisal_display"].value() is None


@pytest.mark.parametrize("age", ["", "old", "-1", "999", "7½", None])
def test_guidance_leaves_out_an_age_that_cannot_be_read(age):
    assert [each.label for each in guidance_for(age=age, sex="", lip_length="")] == ["usually taught"]


@pytest.mark.parametrize("lip", ["long", "1e1", "500"])
def test_guidance_leaves_out_a_lip_that_cannot_be_read(lip):
    assert len(guidance_for(age="", sex="", lip_length=lip)) == 1


def missing_on(form):
    return [need.words for need in form.needs if not need.is_there]


def test_an_empty_form_lists_all_that_the_bench_cannot_begin_without():
    assert missing_on(form_of(None)) == [
        "the prescriber",
        "the patient's code",
        "a description of the work",
        "the material of the definitive impression (the tray's spacer depends on it)",
        "the denture base material",
        "the subcontractor, or “none”",
        "the day the work is wanted back",
        "the prescriber's signature",
    ]


def test_what_is_typed_is_no_longer_missing():
    assert missing_on(form_of(typed(shade="", base_material="", sign=None))) == [
        "the denture base material",
        "the prescriber's signature",
    ]
    assert form_of(typed()).is_whole


def test_the_impression_material_is_asked_for_only_where_a_tray_is_made():
    assert missing_on(form_of(typed(impression_material="", starts_at="occlusion_rims"))) == []
    assert len(missing_on(form_of(typed(impression_material="")))) == 1


def test_what_a_tray_needs_follows_the_laboratory_s_own_path():
    """Delivered, complete dentures begin with a tray and relines with none; this laboratory does it the other way."""
    plain = form_of(typed(impression_material=""))
    assert missing_on(plain) == [WORDS["impression_material"]]
    own = {"complete": ("occlusion_rims", "insertion"), "reline": ("custom_tray", "reline", "insertion")}
    for kind, path in own.items():
        for position, stage_kind in enumerate(path, 1):
            PathStepFactory(case_kind=kind, position=position, stage_kind=stage_kind)
    assert missing_on(form_of(typed(impression_material="", starts_at=""))) == []
    reline = form_of(typed(impression_material="", kind="reline", starts_at=""))
    assert WORDS["impression_material"] in missing_on(reline)
    need = next(need for need in reline.needs if need.words == WORDS["impression_material"])
    assert "reline" in need.kinds
    assert "complete" not in need.kinds
    assert "custom_tray" in need.starts
    later = form_of(typed(impression_material="", kind="reline", starts_at="reline"))
    assert WORDS["impression_material"] not in missing_on(later)


def test_the_form_of_a_case_lists_what_the_case_lists():
    LaboratoryFactory()
    case = taken_in_case(sign=False, base_material="")
    listed = {each.words for each in missing_from_prescription(case, LaboratoryFactory())}
    assert set(missing_on(form_of(None, case=case))) == listed
