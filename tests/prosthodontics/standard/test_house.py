"""The delivered figures, each as stored and marked. Where a publication was seen, the test names it."""

from decimal import Decimal

import pytest

from labcases.prosthodontics.provenance import Provenance
from labcases.prosthodontics.quantities import ARCHES, QUANTITIES
from labcases.prosthodontics.specification.basis import WORDING_LABELS
from labcases.prosthodontics.standard import HOUSE_NORMS, HOUSE_STANDARD, Norm, labial_offset_norm

SEEN, RECALLED, COMMON, MEMORY = Provenance.SEEN, Provenance.RECALLED, Provenance.COMMON, Provenance.MEMORY


def norm(stage: str, arch: str, dimension: str) -> Norm:
    return HOUSE_STANDARD.norm(stage, arch, dimension)


def limits(found: Norm) -> tuple[str, str]:
    return str(found.lower), str(found.upper)


@pytest.mark.parametrize(("arch", "target"), [("maxillary", 22), ("mandibular", 18)])
def test_average_anterior_heights(arch: str, target: int) -> None:
    """Dental laboratory textbook chapter, pocketdentistry.com/occlusion-rims (seen): 22 and 18 mm."""
    found = norm("occlusion_rims", arch, "anterior_height")
    assert found.target == target
    assert found.source.provenance is SEEN
    assert "common practice" in found.note


def test_average_heights_add_up_to_40_millimetres_from_sulcus_to_sulcus() -> None:
    """Derived here from the pair above."""
    heights = [norm("occlusion_rims", arch, "anterior_height").target or 0 for arch in ARCHES]
    assert sum(heights) == 40


@pytest.mark.parametrize("side", ["left", "right"])
def test_upper_posterior_height_is_stored_as_recalled(side: str) -> None:
    """Rahn and Heartwell 1993 (recalled); teaching slides print 16 to 18 mm."""
    found = norm("occlusion_rims", "maxillary", f"posterior_height_{side}")
    assert (found.target, found.source.provenance) == (18, RECALLED)


@pytest.mark.parametrize("side", ["left", "right"])
def test_no_average_exists_for_the_lower_posterior_height(side: str) -> None:
    assert HOUSE_STANDARD.find("occlusion_rims", "mandibular", f"posterior_height_{side}") is None


@pytest.mark.parametrize("arch", ARCHES)
@pytest.mark.parametrize(
    ("dimension", "target", "lower", "upper"),
    [
        ("anterior_width", "8", "7", "9"),
        ("posterior_width", "10", "9", "11"),
        ("labial_inclination", "100", "90", "105"),
        ("posterior_end_angle", "45", "40", "50"),
    ],
)
def test_widths_inclination_and_ends_are_common_practice(
    arch: str, dimension: str, target: str, lower: str, upper: str
) -> None:
    """Common practice, no source."""
    found = norm("occlusion_rims", arch, dimension)
    assert (found.target, *limits(found)) == (Decimal(target), lower, upper)
    assert found.source.provenance is COMMON


@pytest.mark.parametrize(
    ("point", "lower", "upper"),
    [("anterior_border", "5", "7"), ("centre", "8", "10"), ("posterior_border", "10.0", "13.0")],
)
def test_the_labial_face_stands_off_by_its_own_papilla_point(point: str, lower: str, upper: str) -> None:
    """Common practice, no source: 5 to 7, 8 to 10 and 10 to 13 mm."""
    found = labial_offset_norm(point)
    assert limits(found) == (lower, upper)
    assert found.source.provenance is COMMON


@pytest.mark.parametrize("arch", ARCHES)
@pytest.mark.parametrize(
    ("material", "lower", "upper", "provenance"),
    [
        ("zinc_oxide_eugenol", "0", "0.5", SEEN),
        ("alginate", "2.5", "3.5", SEEN),
        ("silicone", "1.5", "3", COMMON),
        ("polysulfide", "1.5", "2.5", COMMON),
        ("polyether", "2.0", "3.0", MEMORY),
        ("plaster", "2.0", "3.0", COMMON),
    ],
)
def test_spacers_by_impression_material(
    arch: str, material: str, lower: str, upper: str, provenance: Provenance
) -> None:
    """Alginate 3 mm and close-fitting paste: a teaching page (seen); others: common, from memory."""
    found = norm("custom_tray", arch, f"spacer_thickness_{material}")
    assert limits(found) == (lower, upper)
    assert found.source.provenance is provenance


@pytest.mark.parametrize("arch", ARCHES)
@pytest.mark.parametrize(
    ("dimension", "lower", "upper", "provenance"),
    [
        ("border_short_of_sulcus", "1.5", "2.5", SEEN),
        ("stop_count", "3", "4", SEEN),
        ("stop_size", "3", "5", SEEN),
        ("tray_thickness", "2.0", "3.0", COMMON),
        ("handle_height", "10", "12", COMMON),
        ("handle_width", "8", "15", COMMON),
        ("handle_thickness", "3.0", "4.0", COMMON),
    ],
)
def test_tray_figures(arch: str, dimension: str, lower: str, upper: str, provenance: Provenance) -> None:
    """Border 2 mm short: course slides, powershow.com 427bad; stops: Morrow, Rudd, Rhoads (seen)."""
    found = norm("custom_tray", arch, dimension)
    assert limits(found) == (lower, upper)
    assert found.source.provenance is provenance


def test_lower_finger_rests_are_common_practice() -> None:
    """Common practice, no source: 8 to 10 mm."""
    assert limits(norm("custom_tray", "mandibular", "finger_rest_height")) == ("8", "10")
    assert HOUSE_STANDARD.find("custom_tray", "maxillary", "finger_rest_height") is None


@pytest.mark.parametrize(
    ("dimension", "lower", "upper", "provenance"),
    [
        ("base_thickness_crest", "0.8", "1.5", COMMON),
        ("base_thickness_palate", "1.5", "3", COMMON),
        ("border_roll_thickness", "2.0", "3.0", COMMON),
        ("posterior_seal_depth", "1.00", "1.50", RECALLED),
        ("posterior_seal_depth_midline", "0.50", "1.00", RECALLED),
        ("posterior_seal_width_midline", "1.5", "2.5", RECALLED),
        ("posterior_seal_width_lateral", "4", "6", RECALLED),
    ],
)
def test_record_base_figures(dimension: str, lower: str, upper: str, provenance: Provenance) -> None:
    """Seal: Winkler 1988, Hardy and Kapur 1958 (recalled); thicknesses: common practice, no source."""
    found = norm("record_base", "maxillary", dimension)
    assert limits(found) == (lower, upper)
    assert found.source.provenance is provenance


def test_no_norm_stands_twice() -> None:
    keys = [each.key for each in HOUSE_NORMS]
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize("found", HOUSE_NORMS, ids=lambda each: "-".join(each.key))
def test_a_norm_is_possible_with_its_whole_tolerance_or_is_a_wording(found: Norm) -> None:
    if found.target is None:
        assert found.dimension in WORDING_LABELS
        assert found.note.endswith(".")
        return
    name = "spacer_thickness" if found.dimension.startswith("spacer_thickness_") else found.dimension
    kind = QUANTITIES[name]
    assert kind.unit == found.unit
    assert found.lower is not None
    assert found.upper is not None
    assert kind.is_possible(found.lower)
    assert kind.is_possible(found.upper)
    assert not kind.is_unusual(found.target)
