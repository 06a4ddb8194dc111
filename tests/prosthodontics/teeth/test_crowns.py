"""Average crown sizes."""

import pytest

from labcases.prosthodontics.provenance import Provenance
from labcases.prosthodontics.teeth.crowns import CROWNS, MAXILLARY, length_ratio, width_sum


def test_upper_central_and_lateral_are_as_printed():
    """Wheeler's averages, seen: 10.5 × 8.5 and 9.0 × 6.5."""
    assert (MAXILLARY[1].length, MAXILLARY[1].width) == (10.5, 8.5)
    assert (MAXILLARY[2].length, MAXILLARY[2].width) == (9.0, 6.5)
    assert MAXILLARY[1].source.provenance is Provenance.SEEN


def test_all_other_rows_are_marked_as_recalled():
    """Wheeler; Ash and Nelson (recalled)."""
    others = [
        crown
        for arch in CROWNS
        for place, crown in CROWNS[arch].items()
        if (arch, place) not in {("maxillary", 1), ("maxillary", 2)}
    ]
    assert len(others) == 14
    assert {crown.source.provenance for crown in others} == {Provenance.RECALLED}


def test_six_front_teeth_add_up_to_45_above_and_35_below():
    """Derived: ratio 0.7778, beside Bolton's anterior 77.2 % (Angle Orthod 1958;28:113-130, recalled)."""
    upper, lower = 2 * width_sum("maxillary", 1, 3), 2 * width_sum("mandibular", 1, 3)
    assert (upper, lower) == (45.0, 35.0)
    assert lower / upper == pytest.approx(0.7778, abs=0.00005)


def test_twelve_teeth_stand_in_the_derived_ratio():
    """Derived: 0.9140, beside Bolton's overall 91.3 % (recalled)."""
    assert width_sum("mandibular", 1, 6) / width_sum("maxillary", 1, 6) == pytest.approx(0.9140, abs=0.00005)


def test_posterior_sums_of_one_side():
    """Derived: 7 + 7 + 10 + 9 = 33 above, 35.5 below."""
    assert width_sum("maxillary", 4, 7) == 33
    assert width_sum("mandibular", 4, 7) == 35.5


def test_lengths_stand_in_proportion_to_the_central():
    assert length_ratio("maxillary", 1) == 1
    assert length_ratio("maxillary", 2) == pytest.approx(9 / 10.5)
