"""The colours of both themes, held to the contrast that bench pages need, and the style sheet to its own rules."""

import re
from pathlib import Path

import pytest

# WCAG 2.2, success criterion 1.4.6: 7:1 for text; 1.4.11: 3:1 for the edge of a control.
TEXT = 7.0
EDGE = 3.0
GROUNDS = ("ground", "paper", "sunk")
TINTS = {"wax": "wax-tint", "amber": "amber-tint", "green": "green-tint"}


@pytest.fixture(scope="module")
def style_sheet():
    return (Path(__file__).resolve().parents[2] / "static" / "css" / "site.css").read_text()


@pytest.fixture(scope="module")
def themes(style_sheet):
    light, dark = (
        dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", block))
        for block in re.findall(r":root \{(.*?)\}", style_sheet, re.DOTALL)[:2]
    )
    return {"light": light, "dark": {**light, **dark}}


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour, WCAG 2.2."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(first: str, second: str) -> float:
    dark, light = sorted([luminance(first), luminance(second)])
    return (light + 0.05) / (dark + 0.05)


def test_contrast_of_black_on_white_is_21():
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("ink", ["ink", "quiet", "wax", "amber", "alarm", "green"])
def test_every_ink_reads_on_every_ground(themes, theme, ink):
    colours = themes[theme]
    grounds = [*GROUNDS, *([TINTS[ink]] if ink in TINTS else [])]
    too_faint = {name: contrast(colours[ink], colours[name]) for name in grounds}
    assert {name: ratio for name, ratio in too_faint.items() if ratio < TEXT} == {}


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_word_on_the_main_button_reads(themes, theme):
    assert contrast(themes[theme]["on-wax"], themes[theme]["wax"]) >= TEXT


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("ground", GROUNDS)
def test_the_edge_of_a_control_is_seen(themes, theme, ground):
    assert contrast(themes[theme]["edge"], themes[theme][ground]) >= EDGE


def test_colours_are_named_once_and_used_by_name(style_sheet):
    rules = style_sheet[style_sheet.index("@layer base {") : style_sheet.index("@layer print {")]
    assert re.findall(r"#[0-9a-fA-F]{3,8}\b", rules) == []


def test_the_style_sheet_fetches_nothing(style_sheet):
    assert "url(" not in style_sheet
    assert "@import" not in style_sheet
