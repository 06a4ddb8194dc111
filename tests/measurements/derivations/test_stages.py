"""What follows at each stage, read from the database in few queries and the same each time."""

import dataclasses
from decimal import Decimal

import pytest
from django.utils import timezone

from labcases.cases.choices import StageKind
from labcases.measurements.actions.moulds import import_moulds
from labcases.measurements.actions.readings import record_readings
from labcases.measurements.derivations import what_follows
from labcases.measurements.queries import current_specification
from tests.bench.benchwork import an_hour_ago, seen, stage_at_work
from tests.factories.measurements import entry
from tests.factories.people import ManagerFactory, TechnicianFactory
from tests.measurements.derivations.made import CASTS

pytestmark = pytest.mark.django_db


@pytest.fixture
def technician():
    return TechnicianFactory()


def measured(stage, by, *entries):
    record_readings(stage=stage, entries=entries, by=by, now=an_hour_ago())


def cast_entries(*arches):
    return [
        entry(name, value, arch=arch, confirmed=True)
        for arch in arches
        for name, value in CASTS[arch].items()
    ]


def follows(stage, **more):
    stage = seen(stage)
    specification = current_specification(stage.case, stage.kind)
    return what_follows(stage, specification=specification, today=timezone.localdate(), **more)


def titles(found, arch):
    return [block.title for block in found.of(arch)]


def test_rims_tell_their_shape_and_their_checks(technician):
    stage = stage_at_work(by=technician)
    measured(
        stage,
        technician,
        *cast_entries("maxillary", "mandibular"),
        entry("anterior_height", "22.0"),
        entry("posterior_height_left", "18.0"),
        entry("posterior_height_right", "18.2"),
        entry("intersulcus_distance", "40", arch=""),
    )
    found = follows(stage)
    assert titles(found, "maxillary") == ["What this rim comes to", "Checks across readings"]
    assert titles(found, "mandibular") == ["What this rim comes to"]
    assert titles(found, "") == ["Checks across readings"]
    assert set(found.shapes) == {"maxillary", "mandibular"}
    assert any("width + 1 mm" in school for school in found.schools)


def test_a_case_of_one_arch_tells_of_that_arch_alone(technician):
    stage = stage_at_work(by=technician, arches="mandibular")
    assert set(follows(stage).shapes) == {"mandibular"}


@pytest.mark.parametrize(
    ("kind", "title"),
    [
        (StageKind.MASTER_CAST, "Materials"),
        (StageKind.TOOTH_ARRANGEMENT, "Articulator"),
        (StageKind.PROCESSING, "Materials"),
    ],
)
def test_each_stage_tells_what_it_needs(technician, kind, title):
    assert title in titles(follows(stage_at_work(by=technician, kind=kind)), "")


def test_a_base_tells_its_material_once_the_cast_was_measured(technician):
    stage = stage_at_work(by=technician, kind=StageKind.RECORD_BASE)
    assert all(not block.lines for block in follows(stage).blocks)
    measured(stage, technician, *cast_entries("maxillary", "mandibular"))
    assert [block.lines[0].label for block in follows(stage).blocks] == ["Material for the base, about"] * 2


def test_a_tray_derives_nothing(technician):
    stage = stage_at_work(by=technician, kind=StageKind.CUSTOM_TRAY, impression_material="silicone")
    assert follows(stage).blocks == ()


def test_teeth_are_arranged_on_the_rim_as_it_was_specified(technician):
    stage = stage_at_work(by=technician, kind=StageKind.TOOTH_ARRANGEMENT)
    import_moulds(
        text="mould,six_anterior_width\nShell,46\n", by=ManagerFactory(), now=timezone.now(), expected=None
    )
    measured(stage, technician, entry("six_anterior_width", "46", arch="maxillary"))
    block = next(block for block in follows(stage).of("mandibular") if block.title == "Teeth")
    assert block.lines[0].figure == "35.4"


def test_strips_are_made_for_paper_alone(technician):
    stage = stage_at_work(by=technician)
    measured(stage, technician, *cast_entries("maxillary", "mandibular"))
    assert follows(stage).strips == {}
    strips = follows(stage, with_strips=True).strips
    assert set(strips) == {"maxillary", "mandibular"}
    assert strips["maxillary"].strip.teeth


def test_unchanged_figures_say_the_same_again(technician):
    stage = stage_at_work(by=technician)
    measured(stage, technician, *cast_entries("maxillary", "mandibular"))
    one, other = follows(stage, with_strips=True), follows(stage, with_strips=True)
    assert one == other
    assert dataclasses.asdict(one.strips["maxillary"])["six_width"] > Decimal(30)


@pytest.mark.parametrize(("kind", "most"), [(StageKind.OCCLUSION_RIMS, 3), (StageKind.TOOTH_ARRANGEMENT, 6)])
def test_it_takes_few_queries_however_much_was_measured(
    technician, django_assert_max_num_queries, kind, most
):
    stage = stage_at_work(by=technician, kind=kind)
    specification = current_specification(stage.case, stage.kind)
    if specification:
        list(specification.lines.all())
    for entries in ([], cast_entries("maxillary", "mandibular") if kind == StageKind.OCCLUSION_RIMS else []):
        if entries:
            measured(stage, technician, *entries)
        with django_assert_max_num_queries(most):
            what_follows(stage, specification=specification, today=timezone.localdate())
