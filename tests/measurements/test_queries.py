"""What stands, what was prescribed, what to take at a stage, and what stands against finishing it."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from labcases.cases.choices import Arches, StageKind
from labcases.measurements import queries
from labcases.measurements.actions.prescribing import prescribe_dimensions
from labcases.measurements.actions.readings import correct_reading
from labcases.measurements.actions.specifying import compute
from labcases.measurements.models import Reading
from labcases.people.refusals import Refused
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.standard import HOUSE_STANDARD
from tests.cases.walking import current, finish, start
from tests.factories.cases import taken_in_case
from tests.factories.measurements import (
    PrescribedDimensionFactory,
    SpecificationLineFactory,
    entry,
)
from tests.factories.people import ClinicianFactory, ManagerFactory, TechnicianFactory
from tests.measurements.bench import DEPTH, HEIGHT, LATER, LIP, RIMS, at_work, lip_figures, take

pytestmark = pytest.mark.django_db


@pytest.fixture
def technician():
    return TechnicianFactory()


@pytest.fixture
def rims(technician):
    return at_work(by=technician)


def boxes(stage):
    return queries.boxes_for(stage, queries.current_specification(stage.case, stage.kind))


def box(stage, name, arch="maxillary"):
    return next(each for each in boxes(stage) if (each.quantity.name, each.arch) == (name, arch))


# ---- what stands ----


def test_the_newest_figure_of_a_later_stage_counts(technician):
    cast = at_work(StageKind.MASTER_CAST, by=technician)
    take(cast, entry(DEPTH, "12.0"), by=technician)
    finish(cast, technician)
    base = start(current(cast.case), technician)
    assert queries.figures_of(queries.standing_readings(cast.case), "maxillary")[DEPTH].value == 12
    take(base, entry(DEPTH, "12.8"), by=technician)
    figures = queries.figures_of(queries.standing_readings(cast.case), "maxillary")
    assert figures[DEPTH].value == Decimal("12.8")
    assert figures[DEPTH].u == Decimal("0.2004")


def test_figures_of_an_arch_are_its_own_and_the_patients():
    case = taken_in_case(
        figures=[*lip_figures(), entry("upper_lip_length", "24", arch="", instrument="steel_rule")]
    )
    standing = queries.standing_readings(case)
    assert set(queries.figures_of(standing, "maxillary")) == {LIP, "incisal_display", "upper_lip_length"}
    assert set(queries.figures_of(standing, "mandibular")) == {"upper_lip_length"}


def test_a_corrected_figure_no_longer_stands_but_stays_to_be_read(rims, technician):
    (old,) = take(rims, entry(HEIGHT, "22.9"), by=technician)
    new = correct_reading(reading=old, entry=entry(HEIGHT, "22.1"), reason="Slip", by=technician, now=LATER)
    assert queries.standing_readings(rims.case) == [new]
    assert list(rims.case.readings.order_by("pk")) == [old, new]


def test_a_reading_of_another_practice_is_as_unknown_as_one_that_does_not_exist(rims, technician):
    (reading,) = take(rims, entry(HEIGHT, "22"), by=technician)
    for user in (technician, rims.case.prescriber):
        assert queries.reading_seen_by(user, reading.pk) == reading
    for user, pk in ((ClinicianFactory(), reading.pk), (technician, 0)):
        with pytest.raises(Reading.DoesNotExist):
            queries.reading_seen_by(user, pk)
    assert not Reading.objects.visible_to(TechnicianFactory(is_active=False)).exists()


# ---- what was prescribed ----


def test_the_latest_prescription_of_a_dimension_counts_and_an_empty_one_takes_it_back():
    case, manager = taken_in_case(), ManagerFactory()
    key, width = (RIMS, "maxillary", HEIGHT), (RIMS, "mandibular", "anterior_width")
    for value in ("23", "24"):
        prescribe_dimensions(
            case=case, prescribed={key: Decimal(value), width: Decimal(6)}, by=manager, now=LATER
        )
    assert queries.prescribed_for(case, RIMS) == {
        "maxillary": {HEIGHT: Decimal(24)},
        "mandibular": {"anterior_width": Decimal(6)},
    }
    prescribe_dimensions(case=case, prescribed={key: None}, by=manager, now=LATER)
    assert queries.prescribed_for(case, RIMS) == {"mandibular": {"anterior_width": Decimal(6)}}
    assert queries.prescribed_for(case, "record_base") == {}
    assert queries.prescribed_rows(case).count() == 5


def test_what_another_case_prescribes_counts_for_that_case_only():
    case = taken_in_case()
    PrescribedDimensionFactory()
    assert queries.prescribed_for(case, RIMS) == {}


PRESCRIBED_WRONGLY = [
    ((RIMS, "mandibular", "labial_offset"), "6", Refused),
    ((RIMS, "", HEIGHT), "22", Refused),
    ((RIMS, "maxillary", HEIGHT), "4", Refused),
    ((RIMS, "maxillary", HEIGHT), "NaN", Refused),
    ((RIMS, "maxillary", "shoe_size"), "42", InputError),
    ((RIMS, "maxillary", DEPTH), "12", InputError),
]


@pytest.mark.parametrize(("key", "value", "error"), PRESCRIBED_WRONGLY)
def test_what_cannot_be_prescribed_is_refused_and_nothing_kept(key, value, error):
    case = taken_in_case()
    with pytest.raises(error):
        prescribe_dimensions(
            case=case,
            prescribed={(RIMS, "maxillary", "anterior_width"): Decimal(7), key: Decimal(value)},
            by=ManagerFactory(),
            now=LATER,
        )
    assert not case.prescribed.exists()


def test_an_arch_that_the_case_does_not_treat_is_not_prescribed_for():
    case = taken_in_case(arches=Arches.MAXILLARY)
    with pytest.raises(Refused, match="mandibular"):
        prescribe_dimensions(
            case=case,
            prescribed={(RIMS, "mandibular", HEIGHT): Decimal(18)},
            by=ManagerFactory(),
            now=LATER,
        )


# ---- what to take at a stage ----


def test_a_sheet_asks_first_what_the_specification_asks_then_the_catalogues_own(rims):
    found = boxes(rims)
    asked = [each for each in found if each.line]
    assert found[: len(asked)] == asked
    lines = queries.current_specification(rims.case, RIMS).lines.all()
    assert [(each.quantity.name, each.arch) for each in asked] == [
        (line.name, line.arch) for line in lines if line.measurable
    ]
    assert DEPTH in [each.quantity.name for each in found[len(asked) :]]
    keys = [each.key for each in found]
    assert len(set(keys)) == len(keys)


def test_a_sheet_asks_for_the_arches_of_the_case_only(technician):
    rims = at_work(by=technician, arches=Arches.MANDIBULAR)
    assert {each.arch for each in boxes(rims)} == {"mandibular", ""}


def test_a_box_holds_what_stands_here_what_was_corrected_and_what_was_before(technician):
    cast = at_work(StageKind.MASTER_CAST, by=technician)
    (before,) = take(cast, entry(DEPTH, "12.0"), by=technician)
    finish(cast, technician)
    base = start(current(cast.case), technician)
    (wrong,) = take(base, entry(DEPTH, "13.0"), by=technician)
    right = correct_reading(
        reading=wrong, entry=entry(DEPTH, "12.6"), reason="Slip", by=technician, now=LATER
    )
    here = box(base, DEPTH)
    assert (here.standing, here.corrected, here.before) == (right, (wrong,), before)
    assert (here.key, here.words) == (
        f"maxillary-{DEPTH}",
        "Depth of the labial sulcus above the papilla, maxillary",
    )
    earlier = box(cast, DEPTH)
    assert (earlier.standing, earlier.corrected, earlier.before) == (before, (), None)


def test_a_box_is_judged_by_the_line_that_holds_now(rims, technician):
    (reading,) = take(rims, entry(HEIGHT, "22.0", "22.0", "22.0"), by=technician)
    assert box(rims, HEIGHT).judgement.verdict == "within"
    key = (RIMS, "maxillary", HEIGHT)
    prescribe_dimensions(case=rims.case, prescribed={key: Decimal(25)}, by=ManagerFactory(), now=LATER)
    assert box(rims, HEIGHT).judgement.verdict == "outside"
    reading.refresh_from_db()
    assert (reading.verdict, reading.line.target) == ("within", 22)
    assert box(rims, "anterior_width").judgement is None


def test_findings_name_what_stands_against_finishing(rims, technician):
    assert [finding.kind for finding in queries.findings(boxes(rims))] == ["missing"]
    take(rims, entry(HEIGHT, "24"), entry("anterior_width", "8.9"), entry(DEPTH, "12"), by=technician)
    found = queries.findings(boxes(rims))
    assert [(each.box.quantity.name, each.kind, each.is_outside) for each in found] == [
        (HEIGHT, "outside", True),
        ("anterior_width", "measure again", False),
    ]


def test_a_sheet_without_a_specification_finds_nothing():
    assert queries.findings([]) == []
    assert queries.not_measured([]) == []


# ---- specifications as plain values ----


def test_a_stored_line_reads_back_without_the_zeros_of_its_column():
    line = SpecificationLineFactory(
        target=Decimal("21.50"), lower=Decimal("20"), upper=Decimal("100.000"), uncertainty=Decimal("0.2000")
    )
    line.refresh_from_db()
    plain = queries.pure_line(line)
    assert [str(plain.target), str(plain.lower), str(plain.upper), str(plain.uncertainty)] == [
        "21.5",
        "20",
        "100",
        "0.2",
    ]


def test_an_issued_specification_reads_back_as_it_was_computed():
    case = taken_in_case(figures=lip_figures())
    for kind in queries.SPECIFIED_STAGES:
        issued = queries.current_specification(case, kind)
        for computed in compute(case, kind, HOUSE_STANDARD, queries.standing_readings(case)):
            assert queries.pure_specification(issued, computed.arch).dimensions == computed.dimensions
            assert queries.pure_specification(issued, computed.arch).notes == computed.notes


# ---- counts of queries ----


@pytest.mark.parametrize(
    "read",
    [
        lambda stage: [(each.judgement, each.standing and str(each.standing.by)) for each in boxes(stage)],
        lambda stage: [str(each.by) + str(each.stage.kind) for each in queries.standing_readings(stage.case)],
        lambda stage: [
            (str(each.issued_by), len(each.lines.all())) for each in queries.specifications_of(stage.case)
        ],
    ],
    ids=["boxes", "standing", "specifications"],
)
def test_more_figures_take_no_more_queries(rims, technician, read):
    take(rims, entry(HEIGHT, "22"), by=technician)
    with CaptureQueriesContext(connection) as one:
        read(rims)
    take(
        rims,
        entry(DEPTH, "12.5"),
        entry("anterior_width", "8"),
        entry("posterior_width", "10"),
        entry(HEIGHT, "18", arch="mandibular"),
        by=technician,
    )
    with CaptureQueriesContext(connection) as many:
        read(rims)
    assert len(many) == len(one) <= 5
