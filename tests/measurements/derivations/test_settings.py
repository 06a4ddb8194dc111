import pytest

from labcases.measurements.derivations.settings import articulator_block
from labcases.prosthodontics.standard import Schools
from tests.measurements.derivations.made import by_label, case, reading


def test_without_a_record_the_laboratorys_averages_are_set_and_named():
    """L = H/8 + 12: H 30 gives 15.75 (Hanau 1930, as quoted in several abstracts, seen)."""
    block = articulator_block(case())
    assert by_label(block, "Horizontal condylar setting, left").figure == "30.0"
    assert by_label(block, "Lateral condylar setting, left").figure == "15.75"
    assert any("30 degrees" in school for school in block.remarks)


def test_each_side_has_its_own_record():
    block = articulator_block(case(reading("condylar_inclination_right", "40", u="0.5")))
    assert by_label(block, "Horizontal condylar setting, right").words == "40.0° ± 1.0"
    assert by_label(block, "Lateral condylar setting, right").figure == "17.00"
    assert by_label(block, "Horizontal condylar setting, left").figure == "30.0"


@pytest.mark.parametrize(
    ("schools", "start", "figure"),
    [
        (Schools(condylar_average="42"), "Horizontal condylar setting, left", "42.0"),
        (Schools(lateral_setting="10"), "Lateral condylar setting, left", "10.0"),
    ],
)
def test_the_school_decides_the_average(schools, start, figure):
    assert by_label(articulator_block(case(schools=schools)), start).figure == figure


def test_the_gap_to_expect_in_protrusion():
    """ρ 30, φ 22, p 6, a 88: 1.978 degrees, 1.55 mm at 45 mm (Christensen; sign derived)."""
    line = by_label(articulator_block(case()), "Gap between flat rims")
    assert line.figure == "1.6"
    assert "1.98°" in line.why
    steep = by_label(articulator_block(case(reading("condylar_inclination_left", "40"))), "Gap")
    assert "2.66°" in steep.why


def test_the_protrusion_is_that_of_the_record():
    assert dict(articulator_block(case(reading("protrusive_record", "5"))).given)["protrusion"] == "5"
    assert dict(articulator_block(case()).given)["protrusion"] == "6"


def test_the_incisal_guide_follows_from_overbite_and_overjet():
    """Overbite 1, overjet 2: 26.57 degrees (derived)."""
    found = case(reading("overbite", "1"), reading("overjet", "2"))
    assert by_label(articulator_block(found), "Incisal guide").figure == "26.6"
    assert not any(each.label.startswith("Incisal") for each in articulator_block(case()).lines)
    reverse = case(reading("overbite", "1"), reading("overjet", "-2"))
    assert not any(each.label.startswith("Incisal") for each in articulator_block(reverse).lines)
