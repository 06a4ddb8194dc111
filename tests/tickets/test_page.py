import dataclasses

import pytest

from labcases.tickets.choices import Paper
from labcases.tickets.page import ticket_html, ticket_sheet, ticket_style
from tests.tickets.made_facts import imprint, measured_facts, ticket_facts


def test_a_ticket_without_a_specification_has_no_drawing_and_no_reasons():
    html = ticket_html(ticket_facts(specification=None), imprint())
    assert "No specification at this stage" in html
    assert 'class="drawing"' not in html
    assert "How these figures come about" not in html


def test_each_arch_has_its_drawing_and_its_table():
    html = ticket_html(ticket_facts(), imprint())
    assert html.count('class="drawing"') == 2
    assert html.index("Maxillary: occlusion rims") < html.index("Mandibular: occlusion rims")


def test_a_stage_that_is_not_drawn_has_its_table_without_a_drawing():
    html = ticket_html(dataclasses.replace(ticket_facts(), stage_kind="tooth_arrangement"), imprint())
    assert 'class="drawing"' not in html
    assert "Maxillary: occlusion rims" in html


@pytest.mark.parametrize(("verdict", "boxes"), [("within", 0), ("outside", 3), ("measure again", 3), ("", 0)])
def test_there_is_room_to_write_where_a_figure_is_still_to_be_measured(verdict, boxes):
    facts = ticket_facts("record_base")
    arch = facts.specification.arches[0]
    line = next(line for line in arch.lines if line.measurable)
    arch = dataclasses.replace(
        arch, lines=(dataclasses.replace(line, measured=measured_facts(verdict=verdict)),), notes=()
    )
    facts = dataclasses.replace(
        facts, figures=(), specification=dataclasses.replace(facts.specification, arches=(arch,))
    )
    assert ticket_html(facts, imprint()).count('class="reading-box"') == boxes


def test_a_dimension_that_is_not_measured_has_no_boxes():
    facts = ticket_facts("record_base", figures=())
    measured = sum(line.measurable for arch in facts.specification.arches for line in arch.lines)
    assert ticket_html(facts, imprint()).count('class="reading-box"') == 3 * measured


def test_the_reason_of_a_figure_of_this_patient_stands_beside_it():
    html = ticket_html(ticket_facts(), imprint())
    why = "Sulcus 12.5 mm above the papilla"
    assert html.count(why) == 2
    assert html.index(why) < html.index("How these figures come about") < html.rindex(why)


def test_equal_reasons_are_said_once():
    reasons = ticket_facts().specification.arches[0].reasons
    names = [reason.names for reason in reasons]
    assert "Posterior height, left; Posterior height, right" in names
    assert len({(reason.why, reason.source) for reason in reasons}) == len(reasons)


def test_work_without_a_recorded_disinfection_says_so():
    html = ticket_html(ticket_facts(disinfected=()), imprint())
    assert "Not recorded: disinfect before handling." in html


@pytest.mark.parametrize(("paper", "size"), [("a4", "A4"), ("letter", "letter")])
def test_the_paper_is_the_one_asked_for(paper, size):
    assert f"size: {size} " in ticket_sheet(ticket_facts(), imprint(), paper=paper).stylesheets[-1]
    assert set(Paper.values) == {"a4", "letter"}


def test_the_sheet_needs_no_file_but_its_own_style():
    html, style = ticket_html(ticket_facts(), imprint()), ticket_style()
    for address in ("href=", "src=", "url(", "@import"):
        assert address not in html
        assert address not in style
