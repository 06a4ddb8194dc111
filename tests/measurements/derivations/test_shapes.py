"""This patient's rim from readings and targets; the geometry itself is tested with the core."""

from decimal import Decimal

import pytest

from labcases.measurements.derivations.shapes import rim_block, shape_of
from labcases.prosthodontics.calculators import calculate
from labcases.prosthodontics.outline import rim_volume
from labcases.prosthodontics.standard import Schools
from tests.measurements.derivations.made import by_label, case, cast, lines, lower, measured, reading, upper


def test_readings_and_targets_make_this_patients_rim():
    plan = upper(case(*cast("maxillary"))).outline.plan
    assert plan.crest.half_width("left") == 25.5  # 50 mm and the correction that is chosen
    assert (plan.anterior_width, plan.posterior_width, plan.labial_offset) == (8, 10, 6)
    assert plan.heights.anterior == 10  # 21 mm over the sulcus, 11 mm of them up to the crest
    assert plan.papilla_reference == "anterior_border"


def test_the_laboratorys_schools_shape_it():
    schools = Schools(arch_correction="raw", papilla_reference="centre")
    plan = upper(case(*cast("maxillary"), schools=schools)).outline.plan
    assert plan.crest.half_width("left") == 25
    assert plan.papilla_reference == "centre"


def test_what_is_missing_is_asked_for_by_its_name_on_the_cast():
    found = upper(case(reading("arch_depth", "46", arch="maxillary")))
    assert found.outline is None
    assert found.missing == ("hamular_notch_width", "canine_eminence_width")
    assert "hamular notch width and width at the canine eminences" in found.obstacle
    assert rim_block(case(), found).remarks == (found.obstacle,)


def test_figures_that_make_no_rim_are_told_in_words():
    found = upper(case(*cast("maxillary", canine_eminence_depth="3")))
    assert found.outline is None
    assert found.obstacle.startswith("These figures make no rim. Depth at the canine eminences")


def test_what_was_not_read_is_said():
    unread = ("sulcus_to_crest", "papilla_behind_crest")
    known = [each for each in cast("maxillary") if each.quantity not in unread]
    assumed = " ".join(upper(case(*known)).assumed)
    assert "Front of the ridge to the papilla was not read: taken as 2 mm" in assumed
    assert "Depth of the labial sulcus to the crest was not read: taken as 10 mm of wax" in assumed
    assert upper(case(*cast("maxillary"))).assumed == ()


def test_a_lower_arch_has_no_papilla():
    found = lower(case(*cast("mandibular")))
    assert found.outline.papilla is None
    assert found.assumed == ()


def test_the_rim_as_made_goes_before_the_rim_as_specified():
    made = measured(anterior_width="7.5", anterior_height="22")
    found = case(*cast("maxillary"), *made)
    assert upper(found).outline.plan.anterior_width == 8
    assert upper(found, as_made=True).outline.plan.anterior_width == 7.5
    assert upper(found, as_made=True).outline.plan.heights.anterior == 11


def test_canine_lines_stand_where_the_clinician_marked_them():
    marks = [
        reading("canine_line_right", "22", arch="maxillary"),
        reading("canine_line_left", "24", arch="maxillary"),
    ]
    outline = upper(case(*cast("maxillary"), *marks), marked=True).outline
    assert outline.labial_arc(-outline.right.canine, 0) == pytest.approx(22, abs=0.02)
    assert outline.labial_arc(0, outline.left.canine) == pytest.approx(24, abs=0.02)


def test_wax_is_weighed_from_the_volume_over_the_crest():
    """0.92 g/cm³, from memory; its range 0.90 to 0.97 as rectangular and 0.3 mm of height make the ±."""
    found = case(*cast("maxillary"), specified=lines("maxillary", uncertainty="0.3"))
    shape = upper(found)
    wax = by_label(rim_block(found, shape), "Wax")
    volume = rim_volume(shape.outline)
    assert float(wax.figure) == pytest.approx(volume * 0.92 / 1000, abs=0.05)
    known = ((shape.outline.area * 0.3 / volume) ** 2 + (0.035 / 3**0.5 / 0.92) ** 2) ** 0.5
    assert float(wax.spread) == pytest.approx(1.96 * known * volume * 0.92 / 1000, abs=0.05)
    assert "from memory, unverified" in wax.source


@pytest.mark.parametrize("correction", ["raw", "corrected"])
def test_the_calculator_that_it_leads_to_computes_the_same_rim(correction):
    found = case(*cast("maxillary"), schools=Schools(arch_correction=correction))
    block = rim_block(found, upper(found))
    assert block.calculator == "rim_outline"
    answer = calculate("rim_outline", {**dict(block.given), "corrected": correction == "corrected"})
    figures = {value["name"]: float(value["value"]) for value in answer["values"]}
    assert figures["canine_arc"] == pytest.approx(float(by_label(block, "Arc").figure), abs=0.06)
    assert figures["wax_mass"] == pytest.approx(float(by_label(block, "Wax").figure), abs=0.06)


def test_equal_figures_make_equal_shapes():
    """A ticket is the same paper while its facts are equal."""
    one, other = (shape_of(case(*cast("maxillary")), "maxillary") for _ in range(2))
    assert one.outline is not None
    assert one == other
    assert dict(one.figures)["arch_depth"] == Decimal(46)
