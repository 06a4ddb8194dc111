"""Specifications: computed from what stands, kept as they were issued, renewed when a figure changes."""

import datetime
from decimal import Decimal

import pytest
from django.utils import translation

from labcases.cases.choices import Act, Arches, StageKind
from labcases.cases.models import Case
from labcases.measurements.actions.prescribing import amend_case, prescribe_dimensions
from labcases.measurements.actions.readings import correct_reading
from labcases.measurements.actions.specifying import issue_specification, reissue
from labcases.measurements.models import Specification, SpecificationLine
from labcases.measurements.queries import changes_between, current_specification, revisions, standing_readings
from tests.cases.walking import finish
from tests.factories.cases import NOW, add_figures, taken_in_case
from tests.factories.measurements import entry
from tests.factories.people import ManagerFactory, TechnicianFactory
from tests.measurements.bench import (
    DEPTH,
    DISPLAY,
    HEIGHT,
    LATER,
    LIP,
    RIMS,
    at_work,
    line,
    lip_figures,
    norm,
    standardise,
    take,
)

pytestmark = pytest.mark.django_db

UPPER_HEIGHT = (RIMS, "maxillary", HEIGHT)


@pytest.fixture
def technician():
    return TechnicianFactory()


@pytest.fixture
def manager():
    return ManagerFactory()


@pytest.fixture
def cast(technician):
    """A master cast at work; the clinician read a lip line of 7.5 mm and wants 1.0 mm of display."""
    return at_work(StageKind.MASTER_CAST, by=technician, figures=lip_figures())


def prescribe(case, value, *, by, key=UPPER_HEIGHT):
    prescribe_dimensions(
        case=case, prescribed={key: None if value is None else Decimal(value)}, by=by, now=LATER
    )


def everything(case):
    """Every issued row, to be compared before and after."""
    return (
        list(Specification.objects.filter(case=case).order_by("pk").values()),
        list(SpecificationLine.objects.filter(specification__case=case).order_by("pk").values()),
    )


def basis(case, **where):
    found = line(case, HEIGHT, **where)
    return found.target, found.basis


# ---- prescribed before computed before standard ----


def test_without_any_figure_the_height_is_the_laboratorys_own(technician):
    """22 mm (common practice, no source)."""
    case = taken_in_case()
    found = line(case, HEIGHT)
    assert (found.target, found.lower, found.upper, found.unit) == (22, 21, 23, "mm")
    assert found.basis == "lab standard"
    assert "common practice" in found.source
    assert "No figure of this patient" in found.why


def test_lip_line_display_and_sulcus_depth_give_the_height(cast, technician):
    """12.5 + 7.5 + 1.0 = 21.0 (derived)."""
    assert basis(cast.case) == (22, "lab standard")
    take(cast, entry(DEPTH, "12.5"), by=technician)
    found = line(cast.case, HEIGHT)
    assert (found.target, found.lower, found.upper, found.basis) == (21, 20, 22, "computed")
    for figure in ("12.5", "7.5", "1.0", "21.0"):
        assert figure in found.why
    assert found.uncertainty > 0


def test_a_prescribed_height_goes_before_a_computed_one_and_its_withdrawal_brings_it_back(
    cast, technician, manager
):
    take(cast, entry(DEPTH, "12.5"), by=technician)
    prescribe(cast.case, "25", by=manager)
    assert basis(cast.case) == (25, "prescribed")
    prescribe(cast.case, None, by=manager)
    assert basis(cast.case) == (21, "computed")


def test_the_laboratorys_own_figure_goes_before_the_delivered_one_only(cast, technician, manager):
    standardise(norm(HEIGHT, "23"), by=manager)
    reissue(case=cast.case, by=manager, now=LATER)
    assert basis(cast.case) == (23, "lab standard")
    take(cast, entry(DEPTH, "12.5"), by=technician)
    assert basis(cast.case) == (21, "computed")


def test_pad_heights_give_two_thirds_on_each_side(technician):
    cast = at_work(StageKind.MASTER_CAST, by=technician)
    pads = [
        entry(f"retromolar_pad_height_{side}", value, arch="mandibular")
        for side, value in (("left", "9.0"), ("right", "10.5"))
    ]
    take(cast, *pads, by=technician)
    targets = [
        line(cast.case, f"posterior_height_{side}", arch="mandibular").target for side in ("left", "right")
    ]
    assert targets == [6, 7]


def space(value, **changes):
    return entry("intersulcus_distance", value, arch="", **changes)


def test_the_upper_rims_height_as_specified_feeds_the_lower_one(cast, technician, manager):
    """40.0 sulcus to sulcus less the 21.0 computed for the upper rim leave 19.0 (derived)."""
    take(cast, space("40"), by=technician)
    assert basis(cast.case, arch="mandibular") == (18, "computed")
    take(cast, entry(DEPTH, "12.5"), by=technician)
    assert basis(cast.case, arch="mandibular") == (19, "computed")
    prescribe(cast.case, "22.5", by=manager)
    assert basis(cast.case, arch="mandibular") == (Decimal("17.5"), "computed")


def test_an_opposing_height_that_was_measured_goes_before_the_specified_one(technician):
    rims = at_work(by=technician)
    take(rims, space("40"), entry("opposing_anterior_height", "21.5", arch="mandibular"), by=technician)
    assert basis(rims.case, arch="mandibular") == (Decimal("18.5"), "computed")


def test_a_lower_denture_alone_has_no_upper_rim_to_take_the_rest_of(technician):
    cast = at_work(StageKind.MASTER_CAST, by=technician, arches=Arches.MANDIBULAR)
    take(cast, space("40"), by=technician)
    assert basis(cast.case, arch="mandibular") == (18, "lab standard")
    assert {each.arch for each in current_specification(cast.case, RIMS).lines.all()} == {"mandibular"}


# ---- which stages, and when ----


def test_tray_base_and_rims_are_specified_when_the_case_comes_in():
    case = taken_in_case()
    assert set(case.specifications.values_list("stage_kind", "revision")) == {
        ("custom_tray", 1),
        ("record_base", 1),
        (RIMS, 1),
    }


def test_stages_done_elsewhere_are_not_specified():
    case = taken_in_case(starts_at=RIMS)
    assert set(case.specifications.values_list("stage_kind", flat=True)) == {RIMS}


def test_a_tray_waits_for_its_impression_material():
    case = taken_in_case(impression_material="")
    assert current_specification(case, "custom_tray") is None
    assert current_specification(case, RIMS) is not None


def test_a_case_taken_in_with_figures_and_dimensions_starts_with_revision_one():
    case = taken_in_case(figures=lip_figures(), prescribed={UPPER_HEIGHT: Decimal("23")})
    assert set(case.specifications.values_list("revision", flat=True)) == {1}
    assert basis(case) == (23, "prescribed")


def test_work_that_is_done_keeps_the_specification_it_was_made_to(technician, manager):
    rims = at_work(by=technician)
    finish(rims, technician)
    prescribe(rims.case, "25", by=manager)
    assert basis(rims.case) == (22, "lab standard")


# ---- revisions ----


def test_a_new_figure_makes_the_next_revision_and_says_what_changed(cast, technician):
    take(cast, entry(DEPTH, "12.5"), by=technician)
    new, old = revisions(cast.case, RIMS)[:2]
    assert (old.revision, new.revision) == (1, 2)
    changes = {(arch, change.name): change.words for arch, change in changes_between(old, new)}
    assert changes["maxillary", HEIGHT] == (
        "Anterior height: 22.0 mm (21.0 to 23.0) becomes 21.0 mm (20.0 to 22.0); "
        "lab standard becomes computed"
    )
    assert {arch for arch, _ in changes} == {"maxillary"}
    assert new.inputs[f"maxillary {DEPTH}"] == "12.5 mm"
    assert DEPTH not in str(old.inputs)


def test_a_corrected_figure_makes_the_next_revision(cast, technician):
    (depth,) = take(cast, entry(DEPTH, "12.5"), by=technician)
    correct_reading(reading=depth, entry=entry(DEPTH, "13.5"), reason="Rod slipped", by=technician, now=LATER)
    assert basis(cast.case) == (22, "computed")
    assert current_specification(cast.case, RIMS).revision == 3


def test_a_chairside_figure_of_the_practice_makes_the_next_revision(cast, technician):
    take(cast, entry(DEPTH, "12.5"), by=technician)
    case = cast.case
    (lip,) = [reading for reading in standing_readings(case) if reading.quantity == LIP]
    correct_reading(
        reading=lip,
        entry=entry(LIP, "8.5", instrument="papillameter"),
        reason="Read again",
        by=case.prescriber,
        now=LATER,
    )
    assert basis(case) == (22, "computed")


def test_a_figure_that_changes_nothing_makes_no_revision(cast, technician):
    take(cast, entry("hamular_notch_width", "47"), by=technician)
    assert set(cast.case.specifications.values_list("revision", flat=True)) == {1}
    assert cast.case.events.filter(act=Act.SPECIFIED, at=LATER).count() == 0


def test_issuing_again_what_already_says_so_gives_the_same_revision(cast, technician):
    take(cast, entry(DEPTH, "12.567", "12.5", "12.4"), by=technician)
    current = current_specification(cast.case, RIMS)
    for _ in range(2):
        assert issue_specification(case=cast.case, stage_kind=RIMS, by=technician, now=LATER) == current
    assert revisions(cast.case, RIMS).count() == 2


def test_issuing_after_the_standard_changed_says_the_new_one(manager):
    case = taken_in_case(starts_at=RIMS)
    standardise(norm(HEIGHT, "23"), by=manager)
    issued = issue_specification(case=case, stage_kind=RIMS, by=manager, now=LATER)
    assert issued == current_specification(case, RIMS)
    assert (issued.revision, line(case, HEIGHT).target) == (2, 23)


def test_each_revision_is_logged(cast, technician):
    take(cast, entry(DEPTH, "12.5"), by=technician)
    event = cast.case.events.filter(act=Act.SPECIFIED, at=LATER).get()
    assert (event.by, event.after) == (technician, {"stage": RIMS, "revision": 2})


def test_issued_rows_never_change(cast, technician, manager):
    take(cast, entry(DEPTH, "12.5"), by=technician)
    specifications, lines = everything(cast.case)
    assert specifications
    assert lines
    prescribe(cast.case, "25", by=manager)
    standardise(norm(HEIGHT, "23"), by=manager, conformity_rule="guard_band", pad_level="half")
    reissue(case=cast.case, by=manager, now=LATER)
    after = everything(cast.case)
    assert after[0][: len(specifications)] == specifications
    assert after[1][: len(lines)] == lines
    assert len(after[0]) > len(specifications)


# ---- the dated standard ----


def test_an_old_specification_keeps_its_standards_figures_and_rule(technician, manager):
    old_case = taken_in_case(starts_at=RIMS)
    tomorrow = NOW + datetime.timedelta(days=1)
    own = standardise(
        norm(HEIGHT, "23", "0.5", "0.5"), by=manager, now=tomorrow, conformity_rule="guard_band"
    )
    new_case = taken_in_case(starts_at=RIMS, now=tomorrow)
    old, new = (current_specification(case, RIMS) for case in (old_case, new_case))
    assert (old.standard, old.rule, line(old_case, HEIGHT).target) == (None, "simple_acceptance", 22)
    assert (new.standard, new.rule, line(new_case, HEIGHT).target) == (own, "guard_band", 23)
    assert (line(new_case, HEIGHT).lower, line(new_case, HEIGHT).upper) == (Decimal("22.5"), Decimal("23.5"))


def test_a_figure_is_judged_by_the_rule_of_its_own_specification(technician, manager):
    """7.01 mm, three times alike, lies inside 7 to 9 by 0.01 and is known to ± 0.02."""
    simple = at_work(by=technician)
    standardise(by=manager, now=LATER, conformity_rule="guard_band")
    guarded = at_work(by=technician, now=LATER)
    figure = entry("anterior_width", "7.01", "7.01", "7.01")
    verdicts = [take(stage, figure, by=technician)[0].verdict for stage in (simple, guarded)]
    assert verdicts == ["within", "measure again"]


def test_work_that_has_begun_keeps_the_standard_it_was_begun_under(technician, manager):
    begun, waiting = at_work(by=technician), taken_in_case(starts_at=RIMS)
    standardise(norm(HEIGHT, "23"), by=manager)
    take(begun, entry("anterior_width", "8.0"), by=technician)
    for case in (begun.case, waiting):
        reissue(case=case, by=manager, now=LATER)
    assert (basis(begun.case), basis(waiting)) == ((22, "lab standard"), (23, "lab standard"))
    take(begun, entry(DEPTH, "12.5"), by=technician)
    found = line(begun.case, HEIGHT)
    assert (found.target, found.basis, found.specification.standard) == (22, "lab standard", None)
    assert "Missing to compute it" in found.why


def test_a_standard_that_begins_tomorrow_does_not_hold_today(manager):
    tomorrow = NOW.date() + datetime.timedelta(days=1)
    standardise(norm(HEIGHT, "23"), by=manager, valid_from=tomorrow)
    assert basis(taken_in_case()) == (22, "lab standard")
    assert basis(taken_in_case(now=NOW + datetime.timedelta(days=1))) == (23, "lab standard")


def test_a_standard_begins_with_the_laboratorys_own_day(manager, settings):
    """At 13:00 UTC on 2 March it is already 3 March in Auckland."""
    settings.TIME_ZONE = "Pacific/Auckland"
    moment = datetime.datetime(2026, 3, 2, 13, 0, tzinfo=datetime.UTC)
    standardise(norm(HEIGHT, "23"), by=manager, now=moment, valid_from=datetime.date(2026, 3, 3))
    assert basis(taken_in_case(now=moment)) == (23, "lab standard")


def test_naming_the_impression_material_specifies_the_tray(manager):
    case = taken_in_case(impression_material="")
    amend_case(
        case=case,
        changes={"impression_material": "silicone"},
        dates={},
        figures=(),
        corrections=(),
        reason="",
        prescribed={},
        by=manager,
        expected_version=case.version,
        now=LATER,
    )
    assert current_specification(case, "custom_tray").revision == 1


def test_a_prescription_changed_in_several_places_makes_one_revision(cast, technician, manager):
    take(cast, entry(DEPTH, "12.5"), by=technician)
    case = Case.objects.get(pk=cast.case_id)
    lip, display = (
        next(each for each in standing_readings(case) if each.quantity == name) for name in (LIP, DISPLAY)
    )
    amend_case(
        case=case,
        changes={},
        dates={},
        figures=[entry("papilla_to_smiling_lip", "2", instrument="papillameter")],
        corrections=[(lip, entry(LIP, "8.5")), (display, entry(DISPLAY, "2"))],
        reason="Read again",
        prescribed={(RIMS, "maxillary", "anterior_width"): Decimal(7)},
        by=manager,
        expected_version=case.version,
        now=LATER,
    )
    assert basis(case) == (23, "computed")
    assert [each.revision for each in revisions(case, RIMS)] == [3, 2, 1]


def test_figures_added_outside_a_stages_page_belong_to_the_clinic_stage_reached(cast, technician):
    case = cast.case
    figure = entry("upper_lip_length", "24", arch="", instrument="flexible_rule")
    add_figures(case, [figure], by=case.prescriber, now=LATER)
    kinds = {reading.quantity: reading.stage.kind for reading in standing_readings(case)}
    assert kinds["upper_lip_length"] == StageKind.DEFINITIVE_IMPRESSIONS


def test_who_reads_another_language_issues_no_other_revision(cast, technician):
    take(cast, entry(DEPTH, "12.5"), by=technician)
    english = current_specification(cast.case, RIMS)
    with translation.override("de"):
        again = issue_specification(case=cast.case, stage_kind=RIMS, by=technician, now=LATER)
    assert again == english
    assert "Sulcus 12.5 mm above the papilla" in line(cast.case, HEIGHT).why
