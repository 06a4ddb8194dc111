"""Choices in words, without looking up those that are not asked for."""

import pytest
from django.db import models
from django.utils import translation

from labcases.cases.models import Case, Stage
from labcases.measurements.models import Reading
from labcases.people.choices import _said

SPOKEN = [
    (model, field)
    for model in (Case, Stage, Reading)
    for field in model._meta.get_fields()
    if isinstance(field, models.CharField) and field.choices
]


@pytest.mark.parametrize(("model", "field"), SPOKEN, ids=str)
@pytest.mark.parametrize("language", ["en", "de"])
def test_they_are_those_of_the_framework(model, field, language):
    with translation.override(language):
        for value in [*(key for key, _ in field.flatchoices), "none of them"]:
            row = model(**{field.name: value})
            own = models.Model._get_FIELD_display(row, field)
            assert getattr(row, f"get_{field.name}_display")() == own


def test_other_labels_are_not_looked_up_and_none_twice(monkeypatch):
    looked_up, gettext = [], translation._trans.gettext
    monkeypatch.setattr(translation._trans, "gettext", lambda text: looked_up.append(text) or gettext(text))
    _said.cache_clear()
    for _ in range(3):
        assert Stage(kind="try_in").get_kind_display() == "Try-in"
    assert looked_up == ["Try-in"]
