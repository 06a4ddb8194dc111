from decimal import Decimal
from typing import Any

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.quantities import ARCHES
from labcases.prosthodontics.specification.lines import Basis, Specification
from labcases.prosthodontics.specification.tray import DIMENSIONS, specify_tray
from labcases.prosthodontics.standard import HOUSE_STANDARD, MATERIALS, with_changes


def tray(
    arch: str = "maxillary", material: str | None = "silicone", standard=HOUSE_STANDARD, **prescribed: Any
) -> Specification:
    return specify_tray(
        arch, impression_material=material, figures={}, prescribed=prescribed, standard=standard
    )


@pytest.mark.parametrize("material", MATERIALS)
@pytest.mark.parametrize("arch", ARCHES)
def test_the_spacer_follows_the_impression_material(arch: str, material: str) -> None:
    line = tray(arch, material).dimension("spacer_thickness")
    assert line.target == HOUSE_STANDARD.norm("custom_tray", arch, f"spacer_thickness_{material}").target
    assert MATERIALS[material] in line.why


@pytest.mark.parametrize("arch", ARCHES)
def test_every_line_of_a_tray_is_there(arch: str) -> None:
    assert tuple(line.name for line in tray(arch).dimensions) == DIMENSIONS[arch]


def test_only_a_lower_tray_has_finger_rests() -> None:
    assert (
        tray("mandibular").dimension("finger_rests").wording
        == "Two finger rests over the crest in the premolar region."
    )
    with pytest.raises(InputError):
        tray("maxillary").dimension("finger_rests")


def test_a_close_fitting_tray_has_no_stops() -> None:
    specification = tray(material="zinc_oxide_eugenol")
    for name in ("stop_count", "stop_size"):
        line = specification.dimension(name)
        assert line.target is None
        assert "No stops" in line.wording
    assert not any("Stops through" in note for note in specification.notes)


def test_a_spaced_tray_has_stops_on_firm_tissue() -> None:
    specification = tray(material="alginate")
    assert specification.dimension("stop_count").target == 3
    assert any("firm tissue" in note for note in specification.notes)


def test_without_a_material_the_spacer_stays_open_and_the_question_is_asked() -> None:
    line = tray(material=None).dimension("spacer_thickness")
    assert (line.target, line.lower, line.upper, line.measurable) == (None, None, None, False)
    assert "Ask the prescriber" in line.wording


def test_a_prescribed_spacer_needs_no_material() -> None:
    line = tray(material=None, spacer_thickness=Decimal("1.5")).dimension("spacer_thickness")
    assert (line.target, line.basis) == (Decimal("1.5"), Basis.PRESCRIBED)


@pytest.mark.parametrize(
    ("school", "target"), [("close_fitting", "0"), ("selective_pressure", "1"), ("full_sheet", "1.4")]
)
def test_a_school_sets_the_spacer_whatever_the_material(school: str, target: str) -> None:
    """Selective pressure: Boucher, full sheet: Morrow, Rudd, Rhoads, as tabulated in slides (seen)."""
    standard = with_changes(HOUSE_STANDARD, schools={"spacer": school})
    specification = tray("maxillary", "alginate", standard)
    assert specification.dimension("spacer_thickness").target == Decimal(target)
    assert any("alginate alone the spacer would be 3" in note for note in specification.notes)
    assert standard.schools.sentence("spacer") in specification.choices


def test_words_may_be_prescribed_where_a_line_is_words() -> None:
    line = tray(vent="Two vents, please.").dimension("vent")
    assert (line.wording, line.basis) == ("Two vents, please.", Basis.PRESCRIBED)


@pytest.mark.parametrize(
    "prescribed",
    [
        {"vent": Decimal(1)},
        {"tray_thickness": "thick"},
        {"tray_thickness": Decimal(99)},
        {"anterior_height": Decimal(22)},
    ],
)
def test_what_does_not_fit_the_line_is_refused(prescribed: dict[str, Any]) -> None:
    with pytest.raises(InputError):
        tray(**prescribed)


def test_an_unknown_material_or_arch_is_refused() -> None:
    with pytest.raises(InputError, match="alginate"):
        tray(material="plasticine")
    with pytest.raises(InputError, match="mandibular"):
        tray("lower")
