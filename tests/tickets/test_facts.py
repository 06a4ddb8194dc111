import dataclasses

import pytest

from labcases.tickets import facts as module
from labcases.tickets.facts import digest
from tests.tickets.made_facts import measured_facts, ticket_facts


def test_equal_facts_have_one_digest():
    assert digest(ticket_facts()) == digest(ticket_facts())
    assert len(digest(ticket_facts())) == 64


@pytest.mark.parametrize("field", [field.name for field in dataclasses.fields(ticket_facts())])
def test_any_other_fact_has_another_digest(field):
    facts = ticket_facts()
    value = getattr(facts, field)
    changed = f"{value}." if isinstance(value, str) else value + 1 if isinstance(value, int) else ()
    if field == "specification":
        changed = dataclasses.replace(value, revision=4)
    assert digest(dataclasses.replace(facts, **{field: changed})) != digest(facts)


def test_a_reading_has_another_digest():
    assert digest(ticket_facts(measured={"anterior_height": measured_facts()})) != digest(ticket_facts())


def test_another_sheet_has_another_digest(monkeypatch):
    before = digest(ticket_facts())
    monkeypatch.setattr(module, "SHEET", module.SHEET + 1)
    assert digest(ticket_facts()) != before


def test_facts_cannot_be_changed():
    with pytest.raises(dataclasses.FrozenInstanceError):
        ticket_facts().due = "tomorrow"
