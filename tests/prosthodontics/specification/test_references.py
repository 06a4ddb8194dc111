"""Heights read from elsewhere than the sulcus, and the face of the denture that is worn."""

from decimal import Decimal

import pytest

from labcases.prosthodontics.specification.basis import Figure
from labcases.prosthodontics.specification.lines import Basis
from labcases.prosthodontics.specification.rims import specify_rims
from labcases.prosthodontics.standard import HOUSE_STANDARD, with_changes

LIP = {
    "sulcus_to_papilla": Figure(Decimal("12.5"), Decimal("0.3")),
    "papilla_to_resting_lip": Figure(Decimal("7.5"), Decimal("0.4")),
    "incisal_display": Figure(Decimal("1.0"), Decimal("0.3")),
}


def specified(arch="maxillary", *, figures=None, prescribed=None, **schools):
    standard = with_changes(HOUSE_STANDARD, schools=schools)
    return specify_rims(arch, figures=figures or {}, prescribed=prescribed or {}, standard=standard)


def names(specification):
    return [line.name for line in specification.dimensions]


def test_from_the_sulcus_there_is_one_height():
    for reference in ("sulcus", "border"):
        found = names(specified(figures=LIP, height_reference=reference))
        assert {"height_over_crest", "papilla_to_rim_edge"}.isdisjoint(found)


def test_read_from_the_crest_the_height_is_less_the_depth_of_the_sulcus():
    figures = {"sulcus_to_crest": Figure(Decimal("11.5"), Decimal("0.2"))}
    line = specified(figures=figures, height_reference="crest").dimension("height_over_crest")
    assert (line.target, line.lower, line.upper) == (Decimal("10.5"), Decimal("9.5"), Decimal("11.5"))
    assert line.basis is Basis.COMPUTED
    assert line.uncertainty == Decimal("0.2")
    assert "22.0 mm" in line.why
    assert "11.5 mm" in line.why


def test_read_from_the_papilla_the_sulcus_cancels_out():
    """Height 12.5 + 7.5 + 1.0 = 21.0; from the papilla 8.5 with √(0.4² + 0.3²) = 0.5 (derived)."""
    line = specified(figures=LIP, height_reference="papilla").dimension("papilla_to_rim_edge")
    assert line.target == Decimal("8.5")
    assert line.uncertainty == Decimal("0.5")


def test_a_prescribed_height_read_from_the_papilla_is_known_as_well_as_the_sulcus():
    line = specified(
        figures=LIP, prescribed={"anterior_height": Decimal(23)}, height_reference="papilla"
    ).dimension("papilla_to_rim_edge")
    assert (line.target, line.uncertainty) == (Decimal("10.5"), Decimal("0.3"))


def test_a_lower_rim_has_no_papilla_to_be_read_from():
    assert "papilla_to_rim_edge" not in names(specified("mandibular", height_reference="papilla"))


@pytest.mark.parametrize("figures", [{}, {"sulcus_to_crest": Decimal(24)}])
def test_without_a_depth_that_fits_the_sheet_asks_for_it(figures):
    line = specified(figures=figures, height_reference="crest").dimension("height_over_crest")
    assert line.target is None
    assert not line.measurable
    assert "Measure the depth of the labial sulcus to the crest" in line.wording


def test_a_height_read_from_the_border_says_what_a_short_border_does():
    assert any("ends short" in note for note in specified(height_reference="border").notes)
    assert not any("ends short" in note for note in specified().notes)


def test_the_worn_denture_is_followed_where_the_laboratory_chose_so():
    """Centre to anterior border −1.42 mm: Bohluli S and others, Tabriz (seen), difference of means (derived)."""
    figures = {"existing_papilla_to_face": Figure(Decimal("6.3"), Decimal("0.25"))}
    line = specified(figures=figures, labial_guide="existing").dimension("labial_offset")
    assert line.target == Decimal("4.88")
    assert line.basis is Basis.COMPUTED
    assert line.uncertainty == Decimal("0.25")
    assert "6.3 mm in front of the centre of the papilla" in line.why


def test_both_faces_are_shown_where_the_prescriber_decides():
    specification = specified(figures={"existing_papilla_to_face": Decimal("6.3")}, labial_guide="both")
    assert specification.dimension("labial_offset").basis is Basis.STANDARD
    assert any("1.12 mm in front of it" in note for note in specification.notes)
    natural = specified(figures={"existing_papilla_to_face": Decimal("6.3")}, labial_guide="natural")
    assert not any("denture worn now" in note for note in natural.notes)


def test_a_worn_denture_that_nobody_measured_leaves_the_standard_and_says_so():
    line = specified(labial_guide="existing").dimension("labial_offset")
    assert line.basis is Basis.STANDARD
    assert line.why.startswith("The worn denture was not measured.")


def test_the_schools_that_were_used_are_named():
    said = " ".join(specified(labial_guide="natural", height_reference="crest").choices)
    assert "where the natural teeth stood" in said
    assert "the crest of the ridge" in said
    assert "0 to 3 mm" in said
    assert "retromolar pad" in " ".join(specified("mandibular").choices)
