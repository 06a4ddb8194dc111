"""What a rim is made to, and by which basis."""

import math
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.quantities import ARCHES, QUANTITIES
from labcases.prosthodontics.specification.basis import Figure
from labcases.prosthodontics.specification.lines import Basis, Specification
from labcases.prosthodontics.specification.rims import PRESCRIBABLE, specify_rims
from labcases.prosthodontics.standard import HOUSE_STANDARD, with_changes

LIP = {"sulcus_to_papilla": "12.5", "papilla_to_resting_lip": "7.5", "incisal_display": "1.0"}
PADS = {"retromolar_pad_height_left": "9.0", "retromolar_pad_height_right": "10.5"}
SPACE = {"intersulcus_distance": "40", "opposing_anterior_height": "21.5"}
HEIGHT = "anterior_height"


def rims(
    arch: str, figures: dict[str, Any] | None = None, standard=HOUSE_STANDARD, **prescribed: str
) -> Specification:
    return specify_rims(
        arch,
        figures={name: Decimal(v) if isinstance(v, str) else v for name, v in (figures or {}).items()},
        prescribed={name: Decimal(value) for name, value in prescribed.items()},
        standard=standard,
    )


def notes(specification: Specification) -> str:
    return "\n".join(specification.notes)


def test_the_height_is_computed_from_the_lip_line() -> None:
    """Derived here: 12.5 + 7.5 + 1.0 = 21.0."""
    line = rims("maxillary", LIP).dimension(HEIGHT)
    assert (line.target, line.basis) == (Decimal("21.0"), Basis.COMPUTED)
    for number in ("12.5", "7.5", "1.0", "21.0"):
        assert number in line.why
    assert "derived here" in line.source


def test_the_published_mean_comes_out_of_its_own_figures() -> None:
    """Derived here: lip 5.7 and display 1.0 put the edge at 6.7 mm, the mean of Eur J Dent 2008;2:161-166."""
    line = rims("maxillary", LIP | {"papilla_to_resting_lip": "5.7"}).dimension(HEIGHT)
    assert line.target is not None
    assert line.target - Decimal("12.5") == Decimal("6.7")


def test_without_a_figure_of_the_patient_the_laboratorys_average_is_used() -> None:
    line = rims("maxillary").dimension(HEIGHT)
    assert (line.target, line.lower, line.upper) == (22, 21, 23)
    assert line.basis is Basis.STANDARD
    assert "No figure of this patient" in line.why


def test_a_prescribed_height_goes_before_a_computed_one() -> None:
    line = rims("maxillary", LIP, anterior_height="25").dimension(HEIGHT)
    assert (line.target, line.lower, line.upper, line.basis) == (25, 24, 26, Basis.PRESCRIBED)


@pytest.mark.parametrize("missing", LIP)
def test_a_partial_set_says_exactly_which_figure_is_missing(missing: str) -> None:
    line = rims("maxillary", {name: v for name, v in LIP.items() if name != missing}).dimension(HEIGHT)
    assert line.basis is Basis.STANDARD
    for name in LIP:
        assert (QUANTITIES[name].label.lower() in line.why) == (name == missing)


def test_the_lower_heights_are_two_thirds_of_each_pad() -> None:
    """Common practice, two thirds of the pad: 9.0 gives 6.0 and 10.5 gives 7.0."""
    specification = rims("mandibular", PADS)
    left, right = (specification.dimension(f"posterior_height_{side}") for side in ("left", "right"))
    assert (str(left.target), str(right.target)) == ("6.00", "7.00")
    assert left.basis is right.basis is Basis.COMPUTED
    assert "differ by 1.0 mm" in notes(specification)


@pytest.mark.parametrize(("school", "height"), [("one_third", "3"), ("half", "4.5"), ("two_thirds", "6")])
def test_another_school_sets_another_level_on_the_pad_and_is_named(school: str, height: str) -> None:
    specification = rims("mandibular", PADS, with_changes(HOUSE_STANDARD, schools={"pad_level": school}))
    assert specification.dimension("posterior_height_left").target == Decimal(height)
    level = specification.dimension("pad_level")
    assert level.target is None
    assert level.wording.lower() in " ".join(specification.choices).lower()


def test_without_the_pad_no_average_is_invented() -> None:
    line = rims("mandibular").dimension("posterior_height_left")
    assert (line.target, line.lower, line.upper) == (None, None, None)
    assert line.wording == "Two thirds of the retromolar pad's height; measure the pad height on the cast"
    assert line.basis is Basis.STANDARD
    assert not line.measurable


def test_a_laboratorys_own_lower_height_is_used_where_the_pad_is_missing() -> None:
    own = replace(
        HOUSE_STANDARD.norm("occlusion_rims", "maxillary", "posterior_height_left"),
        arch="mandibular",
        target=Decimal(7),
    )
    standard = with_changes(HOUSE_STANDARD, norms=[own])
    assert rims("mandibular", {}, standard).dimension("posterior_height_left").target == 7
    assert rims("mandibular", PADS, standard).dimension("posterior_height_left").target == 6


def test_the_lower_front_is_what_the_upper_rim_leaves_of_the_space() -> None:
    """Derived here: 40 - 21.5 = 18.5."""
    line = rims("mandibular", SPACE).dimension(HEIGHT)
    assert (line.target, line.basis) == (Decimal("18.5"), Basis.COMPUTED)


def test_half_a_pair_computes_nothing_and_is_named() -> None:
    specification = rims("mandibular", {"intersulcus_distance": "40"})
    assert specification.dimension(HEIGHT).basis is Basis.STANDARD
    assert "the other figure of the pair is missing" in notes(specification)


@pytest.mark.parametrize("arch", ARCHES)
def test_every_dimension_of_an_arch_is_there_in_the_order_of_the_bench(arch: str) -> None:
    common = [HEIGHT, "posterior_height_left", "posterior_height_right", "anterior_width", "posterior_width"]
    face = ["labial_inclination", "anterior_face_length", "posterior_end_angle"]
    middle, end = (["labial_offset"], []) if arch == "maxillary" else ([], ["pad_level"])
    assert [line.name for line in rims(arch).dimensions] == [*common, *middle, *face, *end]


def test_the_length_along_the_face_follows_height_and_inclination() -> None:
    """Derived here: 21 / sin 100° = 21.32."""
    specification = rims("maxillary", LIP)
    line = specification.dimension("anterior_face_length")
    assert line.target == Decimal("21.32")
    assert float(line.target) == pytest.approx(21 / math.sin(math.radians(100)), abs=0.005)
    assert line.basis is Basis.COMPUTED


def test_a_face_square_to_the_plane_is_as_long_as_it_is_high() -> None:
    assert rims("maxillary", LIP, labial_inclination="90").dimension("anterior_face_length").target == 21


def test_a_length_from_two_averages_does_not_claim_to_be_the_patients() -> None:
    assert rims("maxillary").dimension("anterior_face_length").basis is Basis.STANDARD
    assert (
        rims("maxillary", labial_inclination="95").dimension("anterior_face_length").basis is Basis.COMPUTED
    )


def test_the_offset_names_its_papilla_point() -> None:
    assert "anterior border of the papilla" in rims("maxillary").dimension("labial_offset").why
    centre = with_changes(HOUSE_STANDARD, schools={"papilla_reference": "centre"})
    line = rims("maxillary", {}, centre).dimension("labial_offset")
    assert line.target == 9
    assert "centre of the papilla" in line.why


def test_a_computed_height_carries_the_uncertainty_of_its_figures() -> None:
    """Derived here: 0.3, 0.4 and 1.2 make 1.3."""
    figures = {
        name: Figure(Decimal(LIP[name]), Decimal(u))
        for name, u in zip(LIP, ("0.3", "0.4", "1.2"), strict=True)
    }
    specification = rims("maxillary", figures)
    assert specification.dimension(HEIGHT).uncertainty == Decimal("1.3")
    along = specification.dimension("anterior_face_length").uncertainty
    assert float(along or 0) == pytest.approx(1.3 / math.sin(math.radians(100)))


def test_what_is_left_of_a_space_is_uncertain_by_both_figures() -> None:
    """Derived here: 0.3 and 0.4 make 0.5."""
    figures = {
        name: Figure(Decimal(SPACE[name]), Decimal(u)) for name, u in zip(SPACE, ("0.3", "0.4"), strict=True)
    }
    assert rims("mandibular", figures).dimension(HEIGHT).uncertainty == Decimal("0.5")


def test_a_limit_never_leaves_what_a_rim_can_be() -> None:
    highest = rims("maxillary", anterior_height="45").dimension(HEIGHT)
    assert (highest.lower, highest.upper) == (44, 45)
    lowest = rims("maxillary", anterior_height="5").dimension(HEIGHT)
    assert (lowest.lower, lowest.upper) == (5, 6)


def test_one_unknown_uncertainty_leaves_the_whole_unknown() -> None:
    figures = {name: Figure(Decimal(value), Decimal("0.1")) for name, value in LIP.items()}
    figures["incisal_display"] = Figure(Decimal(1))
    assert rims("maxillary", figures).dimension(HEIGHT).uncertainty is None


def test_the_share_of_the_pad_takes_its_share_of_the_uncertainty() -> None:
    figures = {"retromolar_pad_height_left": Figure(Decimal(9), Decimal("0.3"))}
    u = rims("mandibular", figures).dimension("posterior_height_left").uncertainty
    assert float(u or 0) == pytest.approx(0.2)


def test_the_average_height_says_which_display_it_means() -> None:
    """Derived here: 22 - 12.5 - 7.5 = 2.0."""
    known = {name: LIP[name] for name in ("sulcus_to_papilla", "papilla_to_resting_lip")}
    assert "shows 2.0 mm at rest, within the configured 0.0 to 3.0 mm" in notes(rims("maxillary", known))


def test_a_display_outside_the_configured_range_is_left_to_the_prescriber() -> None:
    long_lip = notes(rims("maxillary", LIP | {"incisal_display": "-1"}))
    assert "ends 1.0 mm above the resting lip, outside the configured" in long_lip
    assert "for the prescriber to decide" in long_lip


@pytest.mark.parametrize(
    ("lip", "remarked"), [("4.50", True), ("4.51", False), ("7.89", False), ("7.90", True)]
)
def test_papilla_to_edge_is_compared_with_the_published_sample(lip: str, remarked: bool) -> None:
    """Eur J Dent 2008;2:161-166 (seen): 5.51 to 8.89 mm observed; a remark, no verdict."""
    text = notes(rims("maxillary", LIP | {"papilla_to_resting_lip": lip}))
    assert ("outside the observed range of the published sample, 5.51 to 8.89 mm" in text) == remarked


@pytest.mark.parametrize(("smile", "gum"), [("-2", False), ("-2.01", True)])
def test_a_full_smile_says_whether_the_base_may_show(smile: str, gum: bool) -> None:
    """Average central crown 10.5 mm, pocketdentistry.com (seen); edge 8.5 mm below the papilla."""
    text = notes(rims("maxillary", LIP | {"papilla_to_smiling_lip": smile}))
    assert "In a full smile the lip stands" in text
    assert ("the base may show above the teeth" in text) == gum


def test_figures_that_contradict_each_other_are_not_used_and_loudly_said() -> None:
    tiny = {"sulcus_to_papilla": "2", "papilla_to_resting_lip": "1", "incisal_display": "0"}
    specification = rims("maxillary", tiny)
    line = specification.dimension(HEIGHT)
    assert (line.target, line.basis) == (22, Basis.STANDARD)
    assert "3.0 mm, which no rim can be" in line.why
    assert "contradict each other" in specification.notes[0]
    assert "at rest" not in notes(specification)


def test_a_space_smaller_than_the_upper_rim_is_a_contradiction_too() -> None:
    specification = rims("mandibular", {"intersulcus_distance": "20", "opposing_anterior_height": "22"})
    assert specification.dimension(HEIGHT).basis is Basis.STANDARD
    assert "contradict each other" in specification.notes[0]


def test_an_unusual_figure_of_the_patient_is_kept_and_asked_about() -> None:
    specification = rims("maxillary", LIP, anterior_height="33")
    assert specification.dimension(HEIGHT).target == 33
    assert "confirm it with the prescriber" in notes(specification)
    assert "confirm it with the prescriber" not in notes(rims("maxillary", LIP))


def test_a_front_as_wide_as_the_back_is_asked_about() -> None:
    assert "always wider behind" in notes(rims("maxillary", anterior_width="10"))
    assert "always wider behind" not in notes(rims("maxillary"))


@pytest.mark.parametrize("arch", ARCHES)
def test_the_bench_is_told_to_measure_again_after_sealing(arch: str) -> None:
    assert rims(arch).notes[-1].startswith("Measure again after the wax is sealed")


def test_figures_of_the_other_arch_are_left_aside() -> None:
    assert rims("maxillary", LIP | PADS | SPACE).dimensions == rims("maxillary", LIP).dimensions


@pytest.mark.parametrize(
    ("arch", "figures", "prescribed", "named"),
    [
        ("upper", {}, {}, "arch"),
        ("maxillary", {"lip": "3"}, {}, "lip"),
        ("maxillary", {"sulcus_to_papilla": "1"}, {}, "sulcus_to_papilla"),
        ("maxillary", {"sulcus_to_papilla": "NaN"}, {}, "sulcus_to_papilla"),
        ("maxillary", {}, {"anterior_height": "50"}, "anterior_height"),
        ("maxillary", {}, {"anterior_face_length": "22"}, "anterior_face_length"),
        ("mandibular", {}, {"labial_offset": "6"}, "labial_offset"),
    ],
)
def test_what_cannot_be_is_refused_by_name(
    arch: str, figures: dict[str, str], prescribed: dict[str, str], named: str
) -> None:
    with pytest.raises(InputError, match=named):
        rims(arch, figures, **prescribed)


def possible_values(names: tuple[str, ...]) -> st.SearchStrategy[dict[str, str]]:
    return st.fixed_dictionaries(
        {}, optional={name: st.decimals(*QUANTITIES[name].cannot_be, places=2).map(str) for name in names}
    )


FIGURES = (*LIP, *PADS, *SPACE, "papilla_to_smiling_lip")
ANY_ARCH = st.sampled_from(ARCHES)


@given(ANY_ARCH, possible_values(FIGURES), st.data())
def test_whatever_is_possible_gives_a_whole_specification_in_order(
    arch: str, figures: dict[str, str], data: st.DataObject
) -> None:
    prescribed = data.draw(possible_values(PRESCRIBABLE[arch]))
    specification = rims(arch, figures, **prescribed)
    for line in specification.dimensions:
        assert line.why
        assert line.source
        assert line.label
        assert (line.target is None) == (not line.measurable)
        if line.target is None:
            assert line.wording
            continue
        assert line.lower is not None
        assert line.upper is not None
        assert line.lower <= line.target <= line.upper
        assert QUANTITIES[line.name].is_possible(line.target)
        if line.name in prescribed:
            assert (line.basis, line.target) == (Basis.PRESCRIBED, Decimal(prescribed[line.name]))
        elif line.name != "anterior_face_length":
            assert line.basis is not Basis.PRESCRIBED


LIP_RANGE = st.decimals(0, 19, places=2)


@given(LIP_RANGE, st.decimals(-6, 10, places=2), st.decimals(2, 30, places=2))
def test_a_lip_one_millimetre_longer_makes_a_rim_one_millimetre_higher(
    lip: Decimal, display: Decimal, depth: Decimal
) -> None:
    figures = {"sulcus_to_papilla": str(depth), "incisal_display": str(display)}
    short, long = (
        rims("maxillary", figures | {"papilla_to_resting_lip": str(length)}).dimension(HEIGHT)
        for length in (lip, lip + 1)
    )
    if short.basis is long.basis is Basis.COMPUTED:
        assert short.target is not None
        assert long.target == short.target + 1


@given(st.decimals(1, 24, places=2), st.sampled_from(["one_third", "half", "two_thirds"]))
def test_a_higher_pad_never_makes_a_lower_rim(pad: Decimal, school: str) -> None:
    standard = with_changes(HOUSE_STANDARD, schools={"pad_level": school})
    low, high = (
        rims("mandibular", {"retromolar_pad_height_left": str(each)}, standard).dimension(
            "posterior_height_left"
        )
        for each in (pad, pad + 1)
    )
    assert low.target is not None
    assert high.target is not None
    assert low.target < high.target
    assert low.target <= pad
