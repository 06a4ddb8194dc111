import pytest
from django.template.loader import get_template

from tests.house.checks import markup
from tests.house.checks.report import assert_none

CHECKS = [
    markup.inline_scripts_and_styles,
    markup.unescaped_output,
    markup.fragments_without_one_root,
    markup.elements_left_open,
    markup.fragments_named_but_missing,
    markup.fragments_that_no_page_includes,
]


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.__name__)
def test_the_templates_are_free_of(check, project_root):
    assert_none(check(project_root))


def test_every_template_compiles(project_root):
    names = [str(path) for path, _ in markup.templates(project_root)]
    assert names
    for name in names:
        get_template(name)


@pytest.mark.parametrize(
    ("fragment", "roots"),
    [
        ('<p id="a">one</p>', 1),
        ('{% if x %}<p id="a">one</p>{% else %}<div id="a">other</div>{% endif %}', 1),
        ('{% if x %}<p id="a">one</p>{% elif y %}<b id="a"></b>{% else %}<i id="a"></i>{% endif %}', 1),
        ('{% for x in y %}<p id="a">{{ x }}</p>{% empty %}<p id="a">none</p>{% endfor %}', 1),
        ('{% include "parts/_field.html" %}', 1),
        ('<p id="a">one</p>{% if x %}{% else %}<p id="b">two</p>{% endif %}', 2),
        ('<img id="a" src="{% static "x.png" %}"><p>two</p>', 2),
    ],
)
def test_roots_are_counted_in_each_branch(fragment, roots):
    shapes = [markup.outline(markup._one_branch(fragment, last=last)) for last in (False, True)]
    assert max(len(shape.roots) for shape in shapes) == roots
