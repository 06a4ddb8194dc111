"""What a ticket says about rows in the database."""

import datetime
import json

import pytest
from django.utils import translation

from labcases.cases.actions.checklists import tick_step
from labcases.cases.actions.moves import finish_stage, start_stage
from labcases.cases.actions.returns import send_back
from labcases.cases.choices import ReturnCause, StageKind
from labcases.cases.models import Case, Stage
from labcases.measurements.actions.readings import correct_reading, record_readings
from labcases.measurements.actions.standard import set_lab_standard
from labcases.measurements.queries import boxes_for, current_specification
from labcases.tickets.facts import digest
from labcases.tickets.gathering import day, drawing_facts, gather_facts, moment
from tests.bench.benchwork import stage_at_work, waiting_stage
from tests.factories.cases import NOW, taken_in_case
from tests.factories.measurements import entry
from tests.factories.people import LaboratoryFactory, ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db
LIP = (
    entry("sulcus_to_papilla", "12.5"),
    entry("papilla_to_resting_lip", "7.5"),
    entry("incisal_display", "1.0"),
)


def fresh(stage):
    return Stage.objects.with_case().get(pk=stage.pk)


def line(facts, name, arch="maxillary"):
    arches = {each.arch: each for each in facts.specification.arches}
    return next(each for each in arches[arch].lines if each.name == name)


@pytest.fixture
def technician():
    return TechnicianFactory(display_name="Tilda Wren")


@pytest.fixture
def rims(technician):
    return stage_at_work(by=technician)


def test_a_ticket_says_whose_work_it_is_and_when_it_is_due(rims):
    facts, case = gather_facts(rims), rims.case
    assert facts.case_number == case.number
    assert (facts.laboratory, facts.laboratory_address) == (
        "Quarry Lane Denture Laboratory",
        "1 Quarry Lane, Plasterton",
    )
    assert (facts.practice, facts.practice_code) == (case.practice.name, case.practice.code)
    assert (facts.prescriber, facts.licence_number) == (str(case.prescriber), case.prescriber.licence_number)
    assert facts.patient_code == "P-100"
    assert facts.assignee == "Tilda Wren"
    assert facts.due == day(rims.due_on) != ""
    following = case.stages.get(kind=StageKind.JAW_RELATION)
    assert (facts.wanted_back, facts.wanted_for) == (day(following.due_on), "Jaw relation record")
    assert facts.signed.startswith("Signed ")
    assert facts.base_material == "Heat-cured acrylic, pink"
    assert facts.impression_material == "Zinc oxide–eugenol paste"
    assert facts.subcontractor == "none"


def test_no_age_sex_or_name_of_the_patient_is_among_the_facts(rims):
    Case.objects.filter(pk=rims.case_id).update(patient_age=113, patient_sex="female")
    said = json.dumps(gather_facts(fresh(rims)).__dict__, default=str)
    assert "113" not in said
    assert "emale" not in said


def test_the_disinfection_is_stated_with_agent_minutes_person_and_time(rims):
    (statement,) = gather_facts(rims).disinfected
    last = rims.case.disinfections.last()
    assert statement == f"Disinfectant A, 10 min (the label asks 10); {last.by}, {moment(last.at)}"


def test_a_case_that_was_not_received_has_no_disinfection():
    case = taken_in_case()
    assert gather_facts(case.stages.get(kind=StageKind.CUSTOM_TRAY)).disinfected == ()


def test_lines_carry_basis_why_and_source(rims):
    facts = gather_facts(rims)
    height = line(facts, "anterior_height")
    assert (height.figure, height.unit_sign, height.limits) == ("22.0", " mm", "21.0 to 23.0")
    assert height.basis == "lab standard"
    assert "common practice" in height.why
    assert height.source
    assert [arch.arch for arch in facts.specification.arches] == ["maxillary", "mandibular"]
    assert facts.specification.revision == 1


def test_figures_of_the_patient_make_the_next_revision_and_the_ticket_says_what_changed(rims, technician):
    record_readings(stage=rims, entries=[LIP[0]], by=technician, now=NOW)
    case = Case.objects.get(pk=rims.case_id)
    relation = case.stages.get(kind=StageKind.JAW_RELATION)
    manager = ManagerFactory()
    record_readings(stage=relation, entries=[LIP[1], LIP[2]], by=manager, now=NOW)
    facts = gather_facts(fresh(rims))
    assert facts.specification.revision > 1
    assert (line(facts, "anterior_height").figure, line(facts, "anterior_height").basis) == (
        "21.0",
        "computed",
    )
    assert any(
        "Maxillary, Anterior height: 22.0 mm (21.0 to 23.0) becomes 21.0 mm (20.0 to 22.0)" in change
        for change in facts.changes
    )


def test_a_reading_already_taken_is_on_the_ticket_with_its_verdict(rims, technician):
    record_readings(
        stage=rims, entries=[entry("anterior_width", "7.9", "8.1", "8.0")], by=technician, now=NOW
    )
    measured = line(gather_facts(fresh(rims)), "anterior_width").measured
    assert (measured.figure, measured.repeats, measured.verdict) == ("8.0", "7.9, 8.1, 8.0", "within")
    assert measured.instrument == "digital caliper"
    assert measured.taken == f"Tilda Wren, {moment(NOW)}"


def test_of_a_corrected_figure_the_ticket_has_the_later_reading(rims, technician):
    (first,) = record_readings(
        stage=rims, entries=[entry("anterior_width", "7.0", "7.0", "7.0")], by=technician, now=NOW
    )
    correct_reading(
        reading=first, entry=entry("anterior_width", "8.2"), reason="misread", by=technician, now=NOW
    )
    assert line(gather_facts(fresh(rims)), "anterior_width").measured.figure == "8.2"


def test_a_figure_without_a_line_is_printed_too(rims, technician):
    record_readings(stage=rims, entries=[LIP[0]], by=technician, now=NOW)
    found = {(each.label, each.arch): each for each in gather_facts(fresh(rims)).figures}
    depth = found["Depth of the labial sulcus above the papilla", "maxillary"]
    assert (depth.measured.figure, depth.measured.verdict, depth.unit_sign) == ("12.5", "", "mm")
    assert found["Depth of the arch", "mandibular"].measured is None


def test_steps_are_the_stages_own_once_it_is_started(rims, technician):
    step = rims.steps.first()
    tick_step(step=step, by=technician, now=NOW)
    steps = gather_facts(fresh(rims)).steps
    assert steps[0].text == step.text
    assert steps[0].done == f"Tilda Wren, {moment(NOW)}"
    assert not any(each.done for each in steps[1:])


def test_steps_of_a_waiting_stage_are_the_usual_ones_not_ticked():
    steps = gather_facts(waiting_stage()).steps
    assert len(steps) > 5
    assert not any(step.done for step in steps)


def test_work_that_came_back_says_why_and_from_where(technician):
    stage = stage_at_work(by=technician, kind=StageKind.RECORD_BASE)
    finish_stage(stage=stage, by=technician, expected_version=stage.version, now=later(1))
    rims = fresh(stage.case.stages.get(kind=StageKind.OCCLUSION_RIMS))
    start_stage(stage=rims, by=technician, expected_version=rims.version, now=later(2))
    rims = fresh(rims)
    send_back(
        stage=rims,
        to=fresh(stage),
        cause=ReturnCause.BASE_UNSTABLE,
        note="Rocks over the palate.",
        by=technician,
        expected_version=rims.version,
        now=later(3),
    )
    again = fresh(stage.case.stages.get(kind=StageKind.RECORD_BASE, visit=2))
    facts = gather_facts(again)
    assert facts.stage == "Record base, visit 2"
    sent = f"Sent back from occlusion rims by Tilda Wren, {moment(later(3))}."
    assert facts.came_back == f"Base unstable. Rocks over the palate. {sent}"
    assert gather_facts(fresh(stage)).came_back == ""


def later(hours):
    return datetime.datetime.now(datetime.UTC) + datetime.timedelta(hours=hours)


def test_the_schools_of_the_standard_reach_ticket_and_drawing(technician):
    LaboratoryFactory()
    manager = ManagerFactory()
    set_lab_standard(
        norms=[],
        schools={"papilla_reference": "centre", "pad_level": "half"},
        valid_from=NOW.date(),
        by=manager,
        now=NOW,
        expected=None,
    )
    case = taken_in_case(by=manager, starts_at=StageKind.OCCLUSION_RIMS, now=NOW)
    upper, lower = gather_facts(case.stages.get(kind=StageKind.OCCLUSION_RIMS)).specification.arches
    assert upper.papilla_reference == "centre"
    assert lower.pad_level == 0.5


def test_readings_of_the_cast_reach_the_drawing(rims, technician):
    figures = ("hamular_notch_width", "46"), ("arch_depth", "44"), ("canine_eminence_width", "31")
    record_readings(
        stage=rims, entries=[entry(name, value) for name, value in figures], by=technician, now=NOW
    )
    upper, lower = gather_facts(fresh(rims)).specification.arches
    assert {name: float(value) for name, value in upper.cast} == {
        "hamular_notch_width": 46,
        "arch_depth": 44,
        "canine_eminence_width": 31,
    }
    assert lower.cast == ()


def test_sheet_and_ticket_are_drawn_from_the_same_facts(rims, technician):
    record_readings(stage=rims, entries=[entry("anterior_width", "8.0")], by=technician, now=NOW)
    stage = fresh(rims)
    issued = current_specification(stage.case, stage.kind)
    on_sheet = drawing_facts(issued, boxes_for(stage, issued))
    on_ticket = {arch.arch: arch.drawn(stage.kind) for arch in gather_facts(stage).specification.arches}
    assert on_sheet == on_ticket


def test_two_gatherings_of_an_unchanged_stage_are_equal(rims):
    assert gather_facts(fresh(rims)) == gather_facts(fresh(rims))
    assert digest(gather_facts(fresh(rims))) == digest(gather_facts(fresh(rims)))


def test_the_facts_are_in_the_laboratorys_language_whoever_prints(rims, technician):
    record_readings(stage=rims, entries=[entry("anterior_width", "7.9", "8.1")], by=technician, now=NOW)
    facts = gather_facts(fresh(rims))
    assert line(facts, "anterior_width").measured.figure == "8.0"
    with translation.override("de"):
        assert gather_facts(fresh(rims)) == facts


@pytest.mark.parametrize(
    "field", ["notes", "shade", "tooth_wishes", "base_material", "patient_code", "subcontractor"]
)
def test_a_changed_prescription_changes_the_facts(field, rims):
    before = digest(gather_facts(fresh(rims)))
    Case.objects.filter(pk=rims.case_id).update(**{field: "something else"})
    assert digest(gather_facts(fresh(rims))) != before


def test_gathering_asks_the_database_a_fixed_number_of_times(rims, technician, django_assert_max_num_queries):
    stage = fresh(rims)
    with django_assert_max_num_queries(40) as few:
        gather_facts(stage)
    names = "anterior_width", "posterior_width", "labial_inclination"
    values = "8.0", "10.0", "95"
    entries = [
        entry(name, value, instrument="protractor" if name == "labial_inclination" else "digital_caliper")
        for name, value in zip(names, values, strict=True)
    ]
    record_readings(stage=stage, entries=entries, by=technician, now=NOW)
    stage = fresh(rims)
    with django_assert_max_num_queries(40) as more:
        gather_facts(stage)
    assert len(more) == len(few)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (datetime.date(2026, 3, 2), "Mon 2 Mar 2026"),
        (None, ""),
        (datetime.date(2028, 2, 29), "Tue 29 Feb 2028"),
    ],
)
def test_days_are_written_out(value, words):
    assert day(value) == words


def test_moments_are_in_the_laboratorys_own_time():
    """London is an hour ahead of UTC on 1 July."""
    assert moment(datetime.datetime(2026, 7, 1, 22, 30, tzinfo=datetime.UTC)) == "Wed 1 Jul 2026, 23:30"


def test_what_follows_from_the_figures_is_on_the_ticket(rims, technician):
    cast = {"hamular_notch_width": "50", "arch_depth": "46", "canine_eminence_width": "32"}
    entries = [entry(name, value, confirmed=True) for name, value in cast.items()]
    record_readings(stage=rims, entries=entries, by=technician, now=NOW)
    facts = gather_facts(fresh(rims))
    assert "maxillary" in facts.follows.strips
    assert any(block.title == "What this rim comes to" for block in facts.follows.of("maxillary"))
    assert facts.retention_years == 10


def test_a_computed_target_says_how_well_it_is_known(rims, technician):
    """√Σu² of the pad's height, two thirds of it, 1.96 times; a figure of the standard has none."""
    pad = entry("retromolar_pad_height_left", "9.0", arch="mandibular")
    [taken] = record_readings(stage=rims, entries=[pad], by=technician, now=NOW)
    lines = {
        line.name: line for arch in gather_facts(fresh(rims)).specification.arches for line in arch.lines
    }
    known = [line for line in lines.values() if line.basis == "computed" and line.target is not None]
    assert [line.name for line in known] == ["posterior_height_left"]
    assert float(known[0].spread) == pytest.approx(1.96 * float(taken.uncertainty) * 2 / 3, abs=0.05)
    assert not any(line.spread for line in lines.values() if line.basis == "lab standard")
