"""What single calculators answer, beyond their worked examples."""

import json

import numpy as np
import pytest
from shapely.geometry import Polygon

from labcases.prosthodontics.calculators import arch_form_request, calculate
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.outline import outline_rim
from tests.prosthodontics.outline.rims import usual_plan

CAST = {"arch_width": 50, "arch_depth": 46, "canine_eminence_width": 32, "canine_eminence_depth": 9}
RIM = {"labial_offset": 8.5, "papilla_behind_crest": 2, "labial_inclination": 100}
STRIP = {"tooth_widths": [8.5, 6.5, 7.5], "tooth_length": 10.5, "face_height": 14}


def values(answer):
    return {value["name"]: value for value in answer["values"]}


def test_a_standard_uncertainty_of_an_input_is_carried_to_the_answer():
    """Derived: L = H/8 + 12, so u(L) = u(H)/8."""
    answer = calculate("lateral_setting", {"horizontal": {"value": 30, "u": 4}})
    assert values(answer)["lateral"]["u"] == "0.5000"
    assert values(answer)["lateral"]["value"] == "15.750"


def test_uncertainties_of_two_inputs_add_by_squares():
    """Derived: √(0.3² + 0.4²) = 0.5."""
    answer = calculate(
        "rim_sum",
        {"upper": {"value": 22, "u": 0.3}, "lower": {"value": 18, "u": 0.4}, "intersulcus_distance": 42},
    )
    assert float(values(answer)["spare"]["u"]) == pytest.approx(0.5, abs=0.001)


def test_an_uncertainty_reaches_through_the_whole_outline():
    """Derived: the rim's middle follows the labial offset one to one."""
    answer = calculate("rim_outline", {**CAST, **RIM, "labial_offset": {"value": 8.5, "u": 0.4}})
    assert float(values(answer)["shift"]["u"]) == pytest.approx(0.4, abs=0.001)
    assert float(values(answer)["canine_arc"]["u"]) > 0


@pytest.mark.parametrize(
    "given",
    [
        {"value": 30},
        {"value": 30, "u": -1},
        {"value": 30, "u": "x"},
        {"value": True, "u": 1},
        {"value": 30, "u": 1, "k": 2},
    ],
)
def test_a_faulty_uncertainty_is_refused(given):
    with pytest.raises(InputError) as refusal:
        calculate("lateral_setting", {"horizontal": given})
    assert refusal.value.field.startswith("horizontal")


def test_three_readings_give_the_freeway_space_its_uncertainty():
    answer = calculate("freeway_space", {"rest": [67, 68, 69], "occlusion": [64, 65, 66], "resolution": 0})
    assert values(answer)["freeway"]["value"] == "3.00"
    assert float(values(answer)["freeway"]["u"]) == pytest.approx(0.816, abs=0.001)
    assert float(values(answer)["lower_molar"]["u"]) == pytest.approx(0.816 * 50 / 88, abs=0.001)
    assert not any("single reading" in caution for caution in answer["cautions"])


def test_single_readings_are_asked_to_be_taken_thrice():
    cautions = " ".join(calculate("freeway_space", {"rest": [68], "occlusion": [66.5]})["cautions"])
    assert "take three of each" in cautions
    assert "from memory, unverified" in cautions
    assert "licensed clinician" in cautions


def test_the_upper_rim_takes_its_share_only_when_told():
    told = values(calculate("freeway_space", {"rest": [68], "occlusion": [66.5], "upper_share": 1}))
    assert told["upper_incisor"]["value"] == "-1.50"
    assert told["lower_incisor"]["value"] == "0.00"


def test_the_published_figures_of_conformity_come_out():
    """JCGM 106:2012 (examples recalled, values derived): Φ(1.40) = 0.9192, Φ(2.29) = 0.9890."""
    low = calculate("conformity", {"value": 509.7, "u": 8.6, "lower": 490})
    assert float(values(low)["probability"]["value"]) == pytest.approx(0.9890, abs=0.0001)
    high = calculate("conformity", {"value": -5.47, "u": 0.05, "upper": -5.40})
    assert float(values(high)["probability"]["value"]) == pytest.approx(0.9192, abs=0.0001)


def test_curing_from_half_past_five_is_ready_the_next_morning_in_the_laboratorys_zone():
    answer = calculate("curing", {"time": "2026-11-25T17:30", "time_zone": "Europe/Berlin"})
    assert values(answer)["ready_by"]["value"] == "2026-11-26T02:15+01:00"
    back = calculate(
        "curing", {"time": "2026-11-26T02:15", "time_is": "ready by", "time_zone": "Europe/Berlin"}
    )
    assert values(back)["start"]["value"] == "2026-11-25T17:30+01:00"


def test_the_laboratorys_own_cycle_goes_before_the_delivered_ones():
    answer = calculate("curing", {"time": "2026-11-25T08:00Z", "own_steps": [[90, 70], [30, 100], [20, 0]]})
    assert values(answer)["ready_by"]["value"] == "2026-11-25T10:20+00:00"


@pytest.mark.parametrize(
    ("document", "field"),
    [
        ({"time": "2026-11-25"}, "time"),
        ({"time": "yesterday"}, "time"),
        ({"time": 20261125}, "time"),
        ({"time": "2026-11-25T17:30", "time_zone": "Mars/Olympus"}, "time_zone"),
        ({"time": "2026-11-25T17:30", "time_zone": "../etc/passwd"}, "time_zone"),
        ({"time": "2026-03-29T02:30", "time_zone": "Europe/Berlin"}, "time"),
        ({"time": "2026-11-25T17:30", "own_steps": [[90]]}, "own_steps"),
    ],
)
def test_a_time_that_no_clock_shows_is_refused(document, field):
    with pytest.raises(InputError) as refusal:
        calculate("curing", document)
    assert refusal.value.field == field


def test_a_gypsum_ratio_outside_its_type_is_called_unusual():
    answer = calculate("gypsum", {"volume": 60, "kind": "type 4: die stone, low expansion", "ratio": 0.5})
    assert any("outside the usual 0.19 to 0.24" in caution for caution in answer["cautions"])
    assert any("own instructions" in caution for caution in answer["cautions"])


def test_a_universal_number_is_read_in_its_own_system():
    answer = values(calculate("tooth_number", {"system": "Universal", "tooth": 8}))
    assert (answer["iso"]["value"], answer["universal"]["value"]) == ("11", "8")


def test_a_mould_list_is_ranked_and_explained():
    answer = calculate(
        "mould_ranking", {"moulds": "mould;central_width\nA;8,0\nB;8,6\n", "central_width": 8.5}
    )
    assert values(answer)["best"]["value"] == "B"
    assert answer["tables"][0]["rows"][0][3] == "central width 8.6 mm, +0.10 mm against the wish"


def test_a_cast_alone_gives_its_arch_form():
    answer = arch_form_request(CAST)
    assert set(answer) == {"arch", "arch_form"}
    assert float(values(answer["arch_form"])["canine_chord"]["value"]) == pytest.approx(32, abs=0.01)


def test_left_and_right_figures_go_before_halves_of_the_whole():
    answer = values(arch_form_request({**CAST, "half_width_left": 27})["arch_form"])
    assert float(answer["arc_length_left"]["value"]) > float(answer["arc_length_right"]["value"]) + 0.3


def test_cast_rim_and_strip_come_in_one_answer_ready_for_json():
    answer = json.loads(json.dumps(arch_form_request({**CAST, "rim": RIM, "strip": STRIP}), allow_nan=False))
    drawing = answer["rim"]["drawing"]
    assert Polygon(drawing["ring"]).is_valid
    assert set(drawing["width_marks"]) >= {"midline", "canine_left", "molar_right", "end_left"}
    assert {"front", "sides", "sections", "papilla", "canine_lines"} <= set(drawing)
    assert set(answer["strip"]["drawing"]["teeth"]) == {"11", "12", "13", "21", "22", "23"}
    six, arc = (values(answer["strip"])[name]["value"] for name in ("six_teeth", "canine_arc"))
    assert six == "45.00"
    assert arc == values(answer["rim"])["canine_arc"]["value"]


def test_coordinates_in_an_answer_lie_within_a_thousandth_of_the_outline():
    """The same cast and rim, outlined without the calculator."""
    drawing = arch_form_request({**CAST, "rim": RIM})["rim"]["drawing"]
    outline = outline_rim(usual_plan())
    assert np.abs(np.array(drawing["labial"]) - outline.labial).max() <= 0.0005 + 1e-9
    assert np.abs(np.array(drawing["ring"]) - outline.ring).max() <= 0.0005 + 1e-9


@pytest.mark.parametrize(
    ("document", "field"),
    [
        (None, "document"),
        ({**CAST, "rim": 3}, "rim"),
        ({**CAST, "rim": {"arch_width": 50}}, "rim.arch_width"),
        ({**CAST, "rim": {"shoe_size": 50}}, "shoe_size"),
        ({"arch_depth": 46}, "arch_width"),
        ({**CAST, "canine_eminence_depth": 1}, "canine_depth_right"),
        ({"arch_width": 50, "arch_depth": 46, "rim": RIM}, "canine_eminence_width"),
        ({**CAST, "strip": {**STRIP, "tooth_widths": [8.5]}}, "tooth_widths"),
        ({**CAST, "rim": {**RIM, "anterior_width": 9, "posterior_width": 5}}, "posterior_width"),
    ],
)
def test_what_is_wrong_in_a_request_is_named(document, field):
    with pytest.raises(InputError) as refusal:
        arch_form_request(document)
    assert refusal.value.field == field


@pytest.mark.parametrize("model", ["beta", "catenary", "parabola", "ellipse", "sixth_order"])
def test_every_arch_model_draws_a_rim(model):
    cast = CAST if model != "sixth_order" else CAST | {"canine_eminence_depth": 17}
    answer = arch_form_request({**cast, "model": model, "rim": RIM})
    assert Polygon(answer["rim"]["drawing"]["ring"]).is_valid
