import pytest

from labcases.prosthodontics.quantities import STAGES
from labcases.prosthodontics.specification.steps import USUAL_STEPS


def test_every_stage_is_delivered_with_its_steps() -> None:
    assert tuple(USUAL_STEPS) == STAGES


@pytest.mark.parametrize("stage", STAGES)
def test_steps_are_short_different_and_at_least_five(stage: str) -> None:
    steps = USUAL_STEPS[stage]
    assert len(steps) >= 5
    assert len(steps) == len(set(steps))
    assert all(step[0].isupper() and not step.endswith(".") and len(step) <= 90 for step in steps)


@pytest.mark.parametrize(
    "stage",
    ["custom_tray", "master_cast", "record_base", "occlusion_rims", "tooth_arrangement", "processing"],
)
def test_work_at_the_bench_begins_with_the_case_number(stage: str) -> None:
    assert USUAL_STEPS[stage][0].startswith("Case number")


@pytest.mark.parametrize("stage", ["preliminary_impressions", "definitive_impressions", "reline_impression"])
def test_an_impression_leaves_the_clinic_disinfected(stage: str) -> None:
    assert any("disinfected" in step for step in USUAL_STEPS[stage])


def test_rims_are_measured_again_after_sealing() -> None:
    assert any("measured again" in step for step in USUAL_STEPS["occlusion_rims"])
