"""Freeway space and how well it is known."""

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance
from labcases.prosthodontics.vertical import freeway_space, mean_of
from labcases.prosthodontics.vertical.freeway import (
    EVIDENCE,
    FREEWAY_RANGE,
    FREEWAY_SOURCE,
    IDENTITY_SOURCE,
    SKIN_MARK_SOURCE,
    Standing,
)


def space(rest=68.0, occlusion=66.5, u=0.1, **changes):
    return freeway_space(rest=rest, occlusion=occlusion, u_rest=u, u_occlusion=u, **changes)


def test_the_freeway_space_is_rest_less_occlusion():
    """Glossary of Prosthodontic Terms (recalled): 68.0 − 66.5 = 1.5."""
    assert space().value == pytest.approx(1.5)
    assert IDENTITY_SOURCE.provenance is Provenance.RECALLED


def test_the_configured_range_starts_at_the_taught_two_to_four_millimetres():
    """Teaching text docslib.org/doc/8139424 (seen)."""
    assert FREEWAY_RANGE == (2.0, 4.0)
    assert FREEWAY_SOURCE.provenance is Provenance.SEEN


@pytest.mark.parametrize(
    ("occlusion", "standing"),
    [(66.5, Standing.BELOW), (66.0, Standing.INSIDE), (64.0, Standing.INSIDE), (63.9, Standing.ABOVE)],
)
def test_a_space_stands_below_inside_or_above_the_configured_range(occlusion, standing):
    assert space(occlusion=occlusion).standing is standing


def test_the_range_is_the_laboratorys_to_set():
    assert space(usual=(1.0, 2.0)).standing is Standing.INSIDE
    with pytest.raises(InputError, match="range"):
        space(usual=(4.0, 2.0))


def test_the_uncertainty_joins_both_readings():
    """Derived: √(0.3² + 0.4²) = 0.5."""
    found = freeway_space(rest=68, occlusion=65, u_rest=0.3, u_occlusion=0.4)
    assert found.u == pytest.approx(0.5)


def test_three_readings_between_skin_marks_cannot_resolve_a_window_of_two_millimetres():
    """Derived: s = 1 mm, n = 3 on both sides gives u of about 0.8 mm."""
    readings = (67.0, 68.0, 69.0)
    mean, u = mean_of(readings, resolution=0)
    found = freeway_space(rest=mean, occlusion=65.0, u_rest=u, u_occlusion=u)
    assert found.u == pytest.approx(0.816, abs=0.0005)
    assert found.doubtful
    assert "too few to be sure" in found.words


def test_a_space_well_inside_is_not_doubtful():
    assert not space(occlusion=65.0).doubtful


def test_a_single_reading_takes_the_scatter_of_skin_marks():
    """1 mm, from memory, unverified."""
    assert mean_of([68.0], resolution=0) == (68.0, 1.0)
    assert SKIN_MARK_SOURCE.provenance is Provenance.MEMORY


def test_equal_readings_are_still_only_as_good_as_the_gauge():
    mean, u = mean_of([68.0, 68.0, 68.0])
    assert mean == 68.0
    assert u == pytest.approx(0.5 / 12**0.5)


def test_no_reading_is_refused():
    with pytest.raises(InputError, match="at least one reading"):
        mean_of([])


def test_what_has_been_published_stands_beside_with_its_class():
    classes = {source.citation.split(",")[0]: source.provenance for _, _, source in EVIDENCE}
    assert classes["Niswonger ME"] is Provenance.RECALLED
    assert classes["Aradya A"] is Provenance.SEEN
    assert all(words and what for what, words, _ in EVIDENCE)


def test_the_words_never_speak_of_right_or_wrong():
    for occlusion in (67.5, 65.0, 60.0):
        assert "configured range" in space(occlusion=occlusion).words
