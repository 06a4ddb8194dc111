"""Finishing bench work: the figures have the last word before the stage does."""

import pytest

from labcases.cases.actions.intake import cancel_case
from labcases.cases.choices import Act, StageKind, StageState
from labcases.cases.models import Case, Stage
from labcases.measurements.actions.finishing import NeedsReason, finish_bench_stage
from labcases.measurements.actions.readings import correct_reading
from labcases.measurements.queries import current_specification
from labcases.people.refusals import Conflict, NotAllowed
from tests.factories.cases import NOW
from tests.factories.measurements import entry
from tests.factories.people import ManagerFactory, TechnicianFactory
from tests.measurements.bench import HEIGHT, LATER, RIMS, at_work, take

pytestmark = pytest.mark.django_db


@pytest.fixture
def technician():
    return TechnicianFactory()


@pytest.fixture
def releasing():
    return TechnicianFactory(may_release_outside=True)


@pytest.fixture
def rims(technician):
    return at_work(by=technician)


def done(stage, by, *, reason="", version=None):
    finish_bench_stage(
        stage=stage, by=by, expected_version=version or stage.version, now=LATER, reason=reason
    )
    return finished_event(stage)


def finished_event(stage):
    return stage.case.events.get(act=Act.FINISHED, stage=stage)


def state(stage):
    return Stage.objects.get(pk=stage.pk).state


def all_on_target(stage):
    """Three readings of each figure that the specification asks, at its target."""
    lines = [each for each in current_specification(stage.case, stage.kind).lines.all() if each.measurable]
    return [
        entry(
            each.name,
            *[f"{each.target:f}"] * 3,
            arch=each.arch,
            instrument="protractor" if each.unit == "deg" else "digital_caliper",
            confirmed=True,
        )
        for each in lines
        if each.target is not None
    ]


def test_work_within_its_limits_is_finished_without_a_word(rims, technician):
    take(rims, *all_on_target(rims), by=technician)
    event = done(rims, technician)
    assert state(rims) == StageState.DONE
    assert event.reason == ""
    assert event.after["against"] == []
    assert all("pad" in words or "osterior height" in words for words in event.after["not_measured"])


def test_a_stage_that_has_no_specification_asks_for_no_figure(technician):
    cast = at_work(StageKind.MASTER_CAST, by=technician)
    event = done(cast, technician)
    assert (event.after["against"], event.after["not_measured"]) == ([], [])


def test_a_figure_left_out_needs_no_reason_and_is_named_in_the_log(rims, technician):
    take(rims, entry(HEIGHT, "22.0"), by=technician)
    left_out = done(rims, technician).after["not_measured"]
    assert "Anterior height, mandibular" in left_out
    assert "Anterior height, maxillary" not in left_out


def test_nothing_measured_at_all_wants_a_reason(rims, technician):
    with pytest.raises(NeedsReason) as asked:
        done(rims, technician)
    assert [finding.kind for finding in asked.value.findings] == ["missing"]
    assert state(rims) == StageState.IN_PROGRESS
    event = done(rims, technician, reason=" Caliper away for calibration ")
    assert event.reason == "Caliper away for calibration"
    assert event.after["against"] == ["Nothing of what the specification asks has been measured yet."]


@pytest.mark.parametrize("reason", ["", "   ", "\n"])
def test_a_figure_to_measure_again_wants_a_reason(rims, technician, reason):
    take(rims, entry(HEIGHT, "21.1"), by=technician)
    with pytest.raises(NeedsReason) as asked:
        done(rims, technician, reason=reason)
    (finding,) = asked.value.findings
    assert (finding.kind, finding.is_outside) == ("measure again", False)
    assert finding.words.startswith("Anterior height, maxillary: 0.10 inside the nearer limit")
    assert state(rims) == StageState.IN_PROGRESS
    event = done(rims, technician, reason="Seen on a second caliper")
    assert event.after["against"] == [finding.words]


def test_a_figure_outside_is_finished_by_who_may_release_it_with_a_reason(rims, technician, releasing):
    take(rims, entry(HEIGHT, "24.0"), by=technician)
    with pytest.raises(NotAllowed, match="outside its configured range"):
        done(rims, technician, reason="Wanted so")
    with pytest.raises(NeedsReason):
        done(rims, releasing)
    assert state(rims) == StageState.IN_PROGRESS
    event = done(rims, releasing, reason="Wanted so by the practice")
    assert (event.by, event.reason) == (releasing, "Wanted so by the practice")
    assert event.after["against"] == ["Anterior height, maxillary: Outside the configured limits by 1.00."]


def test_a_manager_may_release(rims, technician):
    take(rims, entry(HEIGHT, "24.0"), by=technician)
    done(rims, ManagerFactory(), reason="Wanted so")
    assert state(rims) == StageState.DONE


def test_a_corrected_figure_stands_against_nothing(rims, technician):
    (wrong,) = take(rims, entry(HEIGHT, "24.0"), by=technician)
    correct_reading(
        reading=wrong, entry=entry(HEIGHT, "22.4"), reason="Read wrongly", by=technician, now=LATER
    )
    assert done(rims, technician).after["against"] == []


def test_a_figure_outside_of_an_earlier_stage_stands_against_nothing_here(technician):
    """Only what this stage's specification asks of this stage counts."""
    base = at_work(StageKind.RECORD_BASE, by=technician)
    take(base, entry("hamular_notch_width", "70", confirmed=True), by=technician)
    done(base, technician, reason="Nothing to measure here")
    rims = Stage.objects.with_case().get(case=base.case, kind=RIMS)
    assert rims.state == StageState.WAITING


# ---- somebody was first ----


@pytest.mark.parametrize("value", ["22.0", "24.0", None])
def test_a_stage_that_somebody_finished_is_a_conflict_whatever_its_figures_say(rims, technician, value):
    if value:
        take(rims, entry(HEIGHT, value), by=technician)
    manager = ManagerFactory()
    done(rims, manager, reason="Right as it is")
    with pytest.raises(Conflict) as conflict:
        done(rims, technician)
    assert (conflict.value.who, conflict.value.when) == (str(manager), LATER)


def test_an_old_version_is_a_conflict_before_any_reason_is_asked(rims, technician):
    with pytest.raises(Conflict):
        done(rims, technician, version=rims.version - 1)
    assert state(rims) == StageState.IN_PROGRESS


def test_only_the_laboratory_finishes_its_work(rims):
    with pytest.raises(NotAllowed, match="Only the laboratory"):
        done(rims, rims.case.prescriber)


def test_work_of_a_cancelled_case_is_not_finished(rims, technician):
    take(rims, entry(HEIGHT, "22.0"), by=technician)
    case = Case.objects.get(pk=rims.case_id)
    cancel_case(case=case, by=ManagerFactory(), reason="x", expected_version=case.version, now=NOW)
    with pytest.raises(Conflict, match="cancelled"):
        done(rims, technician)
