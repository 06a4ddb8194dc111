"""Rules that estimate front teeth; every one is shown with its evidence."""

import pytest

from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance
from labcases.prosthodontics.teeth import estimate_sizes
from labcases.prosthodontics.teeth.estimates import FACE_FIGURES, SIZE_RULES


def value_of(rule, **figures):
    return next(each.value for each in estimate_sizes(figures) if each.rule.name == rule)


@pytest.mark.parametrize(
    ("rule", "figures", "value"),
    [
        ("central_width_from_face_width", {"bizygomatic_width": 135}, 8.4375),
        ("six_width_from_face_width", {"bizygomatic_width": 135}, 40.909),
        ("six_width_from_head_13", {"head_circumference": 560}, 43.08),
        ("six_width_from_head_10", {"head_circumference": 560}, 56.0),
        ("central_length_from_face_length_16", {"face_length": 185}, 11.56),
        ("central_length_from_face_length_20", {"face_length": 185}, 9.25),
        ("central_width_from_canthi", {"inner_canthal_distance": 28}, 8.65),
        ("lower_six_from_upper", {"upper_six_width": 45.5}, 35.0),
        ("six_arc_from_mouth_men", {"mouth_width": 50}, 49.7),
        ("six_arc_from_mouth_women", {"mouth_width": 50}, 51.8),
        ("central_width_from_mouth", {"mouth_width": 52}, 8.455),
        ("canine_tips_from_nose", {"interalar_width": 35.2}, 35.2),
    ],
)
def test_each_rule_gives_its_derived_figure(rule, figures, value):
    """Rules by the sources that stand in the rule itself; figures derived."""
    assert value_of(rule, **figures) == pytest.approx(value, abs=0.005)


def test_the_arc_between_the_canine_lines_of_this_rim_counts_as_it_is():
    assert value_of("six_width_from_canine_lines", canine_line_arc=47.6) == 47.6


def test_only_rules_whose_figure_is_given_are_shown():
    assert {each.rule.needs for each in estimate_sizes({"bizygomatic_width": 135})} == {"bizygomatic_width"}
    assert estimate_sizes({}) == ()


def test_every_rule_names_its_evidence_and_its_class():
    for rule in SIZE_RULES:
        assert len(rule.evidence) > 20, rule.name
        assert rule.source.words, rule.name
        assert rule.needs in FACE_FIGURES, rule.name


def test_classes_of_the_rules_are_those_of_their_sources():
    """Seen: nose, mouth, lower six; common practice: canine lines, posterior sum; all others recalled."""
    classes = {}
    for rule in SIZE_RULES:
        classes.setdefault(rule.source.provenance, set()).add(rule.needs)
    assert classes[Provenance.SEEN] == {"interalar_width", "mouth_width", "upper_six_width"}
    assert classes[Provenance.COMMON] == {"canine_line_arc", "canine_to_pad"}
    assert set(classes) == {Provenance.SEEN, Provenance.COMMON, Provenance.RECALLED}


def test_the_null_result_for_the_face_width_rules_is_said():
    """Radia S and others, J Prosthet Dent 2016;115:741-748 (seen)."""
    assert all("not confirmed" in each.rule.evidence for each in estimate_sizes({"bizygomatic_width": 135}))


@pytest.mark.parametrize(
    ("name", "value"), [("nose_length", 50), ("mouth_width", 5), ("face_length", float("nan"))]
)
def test_unknown_or_impossible_figures_are_refused_by_name(name, value):
    with pytest.raises(InputError) as refusal:
        estimate_sizes({name: value})
    assert refusal.value.field == name
