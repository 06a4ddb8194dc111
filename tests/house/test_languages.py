"""Every catalogue of messages is complete, keeps what is put into a message, and is compiled as it is written."""

import gettext
import re
from collections import Counter
from pathlib import Path

import pytest
from django.conf import settings

from tests.tools.catalogue import Message, messages

FOLDER = Path(settings.LOCALE_PATHS[0])
CATALOGUES = sorted(FOLDER.glob("*/LC_MESSAGES/django.po"))
# What a value is put in for, by name, and marks of HTML.
KEPT = re.compile(r"%\(\w+\)[sdf]|\{\w*(?::[^}]*)?\}|</?\w+")


def names(paths: list[Path]) -> list[str]:
    return [path.parent.parent.name for path in paths]


def test_there_is_one_for_each_language_that_is_offered():
    offered = {code for code, _ in settings.LANGUAGES} - {"en-gb"}
    assert offered == set(names(CATALOGUES))
    assert offered


@pytest.mark.parametrize("path", CATALOGUES, ids=names(CATALOGUES))
def test_no_message_is_left_without_a_translation(path):
    left = [each.text for each in messages(path) if each.is_fuzzy or not all(each.said) or not each.said]
    assert left == []


def differs(message: Message) -> bool:
    """A plural's first form may leave its number out, as “one case” does."""
    wanted = Counter(KEPT.findall(message.plural or message.text))
    said = [Counter(KEPT.findall(each)) for each in message.said]
    if message.plural:
        return said[-1] != wanted or any(each - wanted for each in said)
    return any(each != wanted for each in said)


@pytest.mark.parametrize("path", CATALOGUES, ids=names(CATALOGUES))
def test_what_is_put_into_a_message_and_its_marks_are_kept(path):
    assert [(each.text, each.said) for each in messages(path) if differs(each)] == []


@pytest.mark.parametrize("path", CATALOGUES, ids=names(CATALOGUES))
def test_it_is_compiled_as_it_is_written(path):
    with path.with_suffix(".mo").open("rb") as file:
        compiled = gettext.GNUTranslations(file)
    stale = []
    for each in messages(path):
        if each.plural:
            said = [compiled.ngettext(each.text, each.plural, number) for number in (1, 2)]
        elif each.context:
            said = [compiled.pgettext(each.context, each.text)]
        else:
            said = [compiled.gettext(each.text)]
        if said != each.said:
            stale.append(each.text)
    assert stale == []


def test_a_message_that_loses_a_value_is_caught():
    assert differs(Message(text="Case {number}", said=["Fall"]))
    assert differs(Message(text="See <a>it</a>", said=["Siehe"]))
    assert not differs(Message(text="%(n)s case", plural="%(n)s cases", said=["ein Fall", "%(n)s Fälle"]))
