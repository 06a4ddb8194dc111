import pytest

from labcases.prosthodontics.outline import ImpossibleRim, outline_rim, plan_from_figures, with_canine_lines

FIGURES = {"hamular_notch_width": 50, "arch_depth": 46, "canine_eminence_width": 32}
TARGETS = {"anterior_width": 8, "posterior_width": 10, "labial_offset": 8}
PLAN = plan_from_figures("maxillary", figures=FIGURES, targets=TARGETS)


def arcs(plan):
    outline = outline_rim(plan)
    return outline.labial_arc(-outline.right.canine, 0), outline.labial_arc(0, outline.left.canine)


@pytest.mark.parametrize(("right", "left"), [(22.0, 22.0), (20.5, 25.0)])
def test_the_lines_stand_where_they_were_marked_along_the_face(right, left):
    assert arcs(with_canine_lines(PLAN, right=right, left=left)) == pytest.approx((right, left), abs=0.02)


def test_a_side_without_a_mark_stays_on_the_crest():
    moved = with_canine_lines(PLAN, left=24.0)
    assert moved.canine_right == PLAN.canine_right
    assert arcs(moved)[0] == pytest.approx(arcs(PLAN)[0], abs=0.02)


def test_a_mark_beyond_the_rim_is_refused_in_words():
    with pytest.raises(ImpossibleRim, match="canine_line_right"):
        with_canine_lines(PLAN, right=70.0)
