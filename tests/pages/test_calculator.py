import html
import re

import pytest
from django.urls import reverse
from django.utils import timezone

from labcases.measurements.actions.moulds import import_moulds
from labcases.measurements.actions.standard import set_lab_standard
from labcases.pages.calculator_form import SENT, example_as_typed
from labcases.prosthodontics.calculators import calculate, calculator, list_calculators
from tests.factories.people import ClinicianFactory, ManagerFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def signed_in(client):
    client.force_login(ClinicianFactory())
    return client


def ask(client, name, **typed):
    return client.get(reverse("calculator", args=[name]), typed)


def text(response):
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def box(response, name):
    found = re.search(rf'<input[^>]*name="{name}"[^>]*>', response.content.decode())
    value = re.search(r'value="([^"]*)"', found.group())
    return value.group(1) if value else ""


def chosen_option(response, name):
    select = re.search(rf'<select[^>]*name="{name}".*?</select>', response.content.decode(), re.DOTALL)
    return re.search(r'<option value="([^"]*)" selected', select.group()).group(1)


def with_schools(**schools):
    manager = ManagerFactory()
    set_lab_standard(
        norms=[],
        schools=schools,
        valid_from=timezone.localdate(),
        by=manager,
        now=timezone.now(),
        expected=None,
    )


@pytest.mark.parametrize("each", list_calculators(), ids=lambda each: each.name)
def test_every_example_is_worked_out_from_its_address(signed_in, each):
    response = ask(signed_in, each.name, **dict(example_as_typed(each)))
    assert response.status_code == 200
    said, expected = text(response), calculate(each.name, each.example)
    assert expected["values"]
    if each.name != "curing":
        for value in expected["values"]:
            assert value["label"] in said
            assert value["value"].removeprefix("-") in said
    for step in expected["steps"]:
        assert step.replace("-", "−") in said.replace("-", "−")
    for value in expected["values"]:
        assert value.get("source", "").lower() in said.lower()


def test_a_page_opened_for_the_first_time_shows_its_defaults_and_no_result(signed_in):
    response = ask(signed_in, "christensen_gap")
    assert response.status_code == 200
    assert box(response, "protrusion") == "6"
    assert "Nothing worked out yet" in text(response)


def test_what_needs_nothing_is_worked_out_at_once(signed_in):
    """The equilateral triangle of 4 inches is 87.988 mm high (derived)."""
    assert "87.988 mm" in text(ask(signed_in, "bonwill_height"))


def test_a_figure_out_of_range_keeps_what_was_typed_and_says_what_is_taken(signed_in):
    response = ask(signed_in, "christensen_gap", path="99", protrusion="5,5", **{SENT: "1"})
    assert response.status_code == 422
    assert box(response, "path") == "99"
    assert box(response, "protrusion") == "5,5"
    assert 'href="#id_path"' in response.content.decode()
    assert "allowed: 0 to 80 degrees" in text(response)


def test_a_figure_that_is_needed_is_asked_for(signed_in):
    response = ask(signed_in, "lateral_setting", horizontal="", **{SENT: "1"})
    assert response.status_code == 422
    assert "This is needed to compute anything." in text(response)


def test_figures_that_make_no_rim_are_refused_in_words(signed_in):
    typed = {"arch_width": "50", "arch_depth": "46", "canine_eminence_width": "32", "anterior_width": "12"}
    response = ask(signed_in, "rim_outline", **typed, posterior_width="10")
    assert response.status_code == 422
    assert "a rim never narrows towards the back" in text(response)


def test_an_uncertain_figure_gives_an_uncertain_result(signed_in):
    """F5.2: 45 mm × tan 2°; ± 0.5° at one standard uncertainty is ± 0.39 mm, and 1.96 times that is shown."""
    said = text(ask(signed_in, "plane_tilt", distance="45", tilt="2", tilt_u="0.5"))
    assert "1.57 mm ± 0.77" in said


def test_a_choice_of_the_laboratory_stands_in_the_boxes_and_in_the_result(signed_in):
    with_schools(condylar_average="42", lateral_setting="10", balkwill_angle="18", arch_correction="raw")
    assert box(ask(signed_in, "lateral_setting"), "horizontal") == "42"
    assert box(ask(signed_in, "christensen_gap", path="30"), "balkwill") == "18"
    assert (
        "checked"
        not in re.search(
            r'<input[^>]*name="corrected"[^>]*>', ask(signed_in, "arch_form").content.decode()
        ).group()
    )
    # ρ 30, φ 18, p 6, a 88: 2.005 degrees (derived)
    assert "2.005 °" in text(ask(signed_in, "christensen_gap", path="30", height="88")).replace(
        "2.005°", "2.005 °"
    )


def test_a_tick_that_was_taken_away_stays_away(signed_in):
    typed = {"arch_width": "60", "arch_depth": "45", "exponent": "0.8"}
    assert "114.703" not in text(ask(signed_in, "arch_form", **typed))
    assert "114.703" in text(ask(signed_in, "arch_form", **typed, **{SENT: "1"}))


def test_an_emptied_box_is_not_filled_again(signed_in):
    with_schools(gypsum_ratio="0.30")
    assert box(ask(signed_in, "gypsum", volume="60"), "ratio") == "0.3"
    emptied = ask(signed_in, "gypsum", volume="60", ratio="", **{SENT: "1"})
    assert box(emptied, "ratio") == ""
    assert "0.275 g of water" in text(emptied)


def test_a_long_list_is_sent_and_still_has_an_address(signed_in):
    typed = dict(example_as_typed(calculator("agreement")))
    response = signed_in.post(reverse("calculator", args=["agreement"]), {**typed, SENT: "1"})
    assert response.status_code == 200
    [address] = re.findall(r'<a href="([^"]+)">Address of this result', response.content.decode())
    again = signed_in.get(html.unescape(address))
    assert text(again).split("Result")[1] == text(response).split("Result")[1]


def test_a_list_too_long_for_an_address_has_none(signed_in):
    values = " ".join(["50.1", "49.9"] * 400)
    response = signed_in.post(
        reverse("calculator", args=["individuals_chart"]), {"values": values, SENT: "1"}
    )
    assert response.status_code == 200
    assert "Address of this result" not in text(response)


def test_the_clock_is_the_sites_own_and_reads_as_people_say_it(signed_in, settings):
    settings.TIME_ZONE = "Europe/London"
    response = ask(signed_in, "curing", time="2026-11-25T17:30")
    assert "Thu 26 Nov 2026, 02:15" in text(response)
    assert box(response, "time_zone") == "Europe/London"


@pytest.mark.parametrize("name", ["rim_outline", "tooth_strip", "arch_form", "arch_curve"])
def test_a_shape_is_drawn(signed_in, name):
    response = ask(signed_in, name, **dict(example_as_typed(calculator(name))))
    assert response.content.decode().count('<svg class="drawing"') == 1


def test_choices_are_offered_in_words(signed_in):
    page = ask(signed_in, "rim_outline")
    assert chosen_option(page, "papilla_reference") == "anterior_border"
    assert "Posterior border of the papilla" in text(page)


def test_a_calculator_that_does_not_exist_is_not_found(signed_in):
    assert ask(signed_in, "nonsense").status_code == 404


def test_nobody_computes_without_signing_in(client):
    assert ask(client, "lateral_setting", horizontal="30").status_code == 302


def test_a_page_takes_few_queries(signed_in, django_assert_max_num_queries):
    with django_assert_max_num_queries(6):
        ask(signed_in, "rim_outline", **dict(example_as_typed(calculator("rim_outline"))))


def test_the_laboratorys_own_moulds_are_ranked_without_typing_them(signed_in):
    text_of_list = "mould,six_anterior_width\nShell,50\nPebble,46\n"
    import_moulds(text=text_of_list, by=ManagerFactory(), now=timezone.now(), expected=None)
    response = ask(signed_in, "mould_ranking", six_anterior_width="46,2")
    assert "Nearest mould Pebble" in text(response)
