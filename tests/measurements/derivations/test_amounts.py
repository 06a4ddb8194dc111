import datetime
from zoneinfo import ZoneInfo

import pytest

from labcases.measurements.derivations.amounts import base_block, processing_block, stone_block
from labcases.prosthodontics.standard import Schools
from tests.measurements.derivations.made import by_label, case, cast, line, lower, reading, upper


def test_water_for_the_cast_follows_the_ratio_that_was_chosen():
    """0.25 to 0.30 for type 3: textbook chapter on gypsum materials (seen)."""
    assert by_label(stone_block(case()), "Water").figure == "27.5"
    assert by_label(stone_block(case(schools=Schools(gypsum_ratio="0.30"))), "Water").figure == "30.0"


def test_dough_is_weighed_by_the_ratio_that_was_chosen():
    """27 cm³ at 2.0 g/mL take 20.14 g (derived), so 10 cm³ take 7.46 g."""
    assert by_label(processing_block(case(), None), "Polymer").figure == "7.5"
    assert "3.7 mL" in by_label(processing_block(case(), None), "Polymer").why


def test_curing_is_told_by_the_clock_where_there_is_one():
    """74 °C for 8 h from 17:30, 30 minutes on the bench and 15 in water: 02:15 the next day (derived)."""
    now = datetime.datetime(2026, 11, 25, 17, 30, tzinfo=ZoneInfo("Europe/London"))
    assert "it is over Thu 26 Nov at 02:15" in by_label(processing_block(case(), now), "Curing").why
    assert "Begun now" not in by_label(processing_block(case(), None), "Curing").why
    short = processing_block(case(schools=Schools(curing_cycle="short")), None)
    assert by_label(short, "Curing").figure == "3.75"


def test_shrinkage_is_expected_across_this_arch():
    """0.42 to 0.58 % of 50 mm are 0.21 to 0.29 mm (J Prosthet Dent 1999;81:300-304, seen)."""
    found = by_label(
        processing_block(case(reading("tuberosity_width", "50", arch="maxillary")), None), "Loss"
    )
    assert found.figure == "0.25"
    assert "0.21 to 0.29 mm" in found.why
    assert not any(each.label.startswith("Loss") for each in processing_block(case(), None).lines)


@pytest.mark.parametrize(
    ("arch", "shape", "thickness"),
    [("maxillary", upper, "base_thickness_palate"), ("mandibular", lower, "base_thickness_lingual")],
)
def test_a_base_takes_as_much_as_its_surface_is_thick(arch, shape, thickness):
    found = case(*cast(arch), specified=[line(thickness, "2", arch=arch)])
    amount = by_label(base_block(found, shape(found)), "Material")
    assert 3 < float(amount.figure) < 12
    doubled = case(*cast(arch), specified=[line(thickness, "4", arch=arch)])
    twice = by_label(base_block(doubled, shape(doubled)), "Material")
    assert float(twice.figure) == pytest.approx(2 * float(amount.figure), abs=0.11)


def test_a_base_on_a_cast_that_was_not_measured_asks_for_its_figures():
    found = case()
    [needs] = base_block(found, upper(found)).remarks
    assert "depth of the arch" in needs
    assert "depth of the labial sulcus to the crest" in needs
    assert base_block(found, upper(found)).lines == ()
