from decimal import Decimal

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.quantities import ARCHES
from labcases.prosthodontics.specification.base import DIMENSIONS, specify_record_base
from labcases.prosthodontics.specification.lines import Basis, Specification
from labcases.prosthodontics.standard import HOUSE_STANDARD


def base(arch: str, **prescribed: Decimal | str) -> Specification:
    return specify_record_base(arch, figures={}, prescribed=prescribed, standard=HOUSE_STANDARD)


@pytest.mark.parametrize("arch", ARCHES)
def test_every_line_of_a_base_is_there(arch: str) -> None:
    assert tuple(line.name for line in base(arch).dimensions) == DIMENSIONS[arch]


def test_only_an_upper_base_has_a_palate_a_seal_and_a_papilla() -> None:
    lower = {line.name for line in base("mandibular").dimensions}
    assert not {name for name in lower if "seal" in name or "papilla" in name or "palate" in name}
    assert not any("seal" in note.lower() for note in base("mandibular").notes)


def test_the_seal_is_scraped_only_where_the_clinician_marked_it() -> None:
    specification = base("maxillary")
    assert "marked" in specification.dimension("posterior_seal_form").wording
    assert any("clinician" in note for note in specification.notes)


def test_a_base_reaches_into_the_sulcus_where_a_tray_stays_short() -> None:
    for arch in ARCHES:
        assert base(arch).dimension("border_extension").wording.startswith("Borders fully into the sulcus")


def test_a_prescribed_seal_goes_before_the_laboratorys() -> None:
    line = base("maxillary", posterior_seal_depth=Decimal("0.8")).dimension("posterior_seal_depth")
    assert (line.target, line.basis) == (Decimal("0.8"), Basis.PRESCRIBED)
    assert "1.25 mm" in line.why


def test_a_window_may_be_prescribed_in_words() -> None:
    line = base("maxillary", papilla_window="No window.").dimension("papilla_window")
    assert (line.wording, line.basis) == ("No window.", Basis.PRESCRIBED)


def test_a_seal_is_not_prescribed_for_a_lower_base() -> None:
    with pytest.raises(InputError, match="posterior_seal_depth"):
        base("mandibular", posterior_seal_depth=Decimal(1))


def test_an_unknown_arch_is_refused() -> None:
    with pytest.raises(InputError, match="maxillary"):
        base("both")
