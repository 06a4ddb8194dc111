"""Boxes and lists that are written without a template say what the framework's own would."""

import html.parser

import pytest
from django import forms
from django.utils.safestring import mark_safe

from labcases.pages.fields import PlainInput, PlainSelect

ODD = "\"><script>&amp;'</script>"


class Tags(html.parser.HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.found = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, sorted(attrs, key=str)))

    def handle_data(self, data):
        if data.strip():
            self.found.append(data.strip())


@pytest.mark.parametrize("value", [None, "", "12.5", ODD, 7])
@pytest.mark.parametrize(
    "attrs", [{}, {"id": "id_x", "required": True, "disabled": False, "data-odd": ODD, "data-none": None}]
)
def test_a_box(value, attrs):
    there = {name: each for name, each in attrs.items() if each is not None}
    own = forms.TextInput({"class": "box"}).render("x", value, there)
    assert Tags(PlainInput({"class": "box"}).render("x", value, attrs)).found == Tags(own).found


@pytest.mark.parametrize("value", [None, "", "a", ODD, 3, "nothing like it"])
def test_a_list(value):
    choices = [("", "Any"), ("a", "First & last"), (ODD, ODD), (3, mark_safe("Three"))]
    own = forms.Select({"class": "box"}, choices).render("x", value, {"id": "id_x"})
    assert (
        Tags(PlainSelect({"class": "box"}, choices).render("x", value, {"id": "id_x"})).found
        == Tags(own).found
    )
