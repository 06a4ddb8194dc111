import pytest

from tests.measurements.management.commands.computing import answer, figures, refusal, run

CAST = {"arch": "maxillary", "arch_width": 50, "arch_depth": 46, "canine_eminence_width": 32}
RIM = {"anterior_width": 8, "posterior_width": 10, "labial_offset": 8.5, "papilla_behind_crest": 2}
TEETH = {"tooth_widths": [8.5, 6.5, 7.5], "tooth_length": 10.5, "face_height": 14, "incisal_display": 1}


def test_the_published_curve_is_as_long_as_computed_elsewhere():
    """W = 60, D = 45, e = 0.8: 114.703 mm (derived with general numerical software)."""
    form = answer("arch_form", "-", document={"arch_width": 60, "arch_depth": 45, "exponent": 0.8})
    assert figures(form["arch_form"])["arc_length"] == "114.703"
    assert set(form) == {"arch", "arch_form"}


def test_one_document_gives_crest_rim_and_strip():
    found = answer("arch_form", "-", document={**CAST, "rim": RIM, "strip": TEETH})
    assert figures(found["rim"])["shift"] == "2.50"
    assert figures(found["strip"])["six_teeth"] == "45.00"
    ring = found["rim"]["drawing"]["ring"]
    assert ring[0] == ring[-1]
    assert len(ring) > 200


def test_the_document_may_stand_in_a_file(tmp_path):
    file = tmp_path / "cast.json"
    file.write_text('{"arch_width": "60,0", "arch_depth": 45, "exponent": 0.8}', encoding="utf-8")
    assert figures(answer("arch_form", str(file))["arch_form"])["arc_length"] == "114.703"


@pytest.mark.parametrize(
    ("document", "says"),
    [
        ({**CAST, "arch_depth": 500}, "arch_depth: 500 is not accepted; allowed: 10 to 90 mm"),
        ({**CAST, "rim": {"anterior_width": 12, "posterior_width": 10}}, "posterior_width: 10"),
    ],
)
def test_a_figure_that_makes_no_arch_or_rim_is_refused_in_one_line(document, says):
    assert says in refusal(run("arch_form", "-", document=document))


def test_a_file_that_is_not_there_is_refused_in_one_line():
    assert "nowhere.json cannot be read" in refusal(run("arch_form", "nowhere.json"))
