"""A case's log in words."""

import datetime
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, gettext_noop

from labcases.cases.chain import is_erased
from labcases.cases.choices import Act, Arches, CaseKind, ReturnCause, StageKind
from labcases.cases.models import Case, Event
from labcases.pages.chairside import ARCH_WORDS
from labcases.pages.paging import stretch
from labcases.pages.templatetags.trade import day
from labcases.people.models import User
from labcases.prosthodontics.quantities import QUANTITIES
from labcases.prosthodontics.specification.lines import with_unit
from labcases.prosthodontics.wording import in_a_sentence

HANDINGS = (Act.RECEIVED, Act.HANDED_OVER, Act.ARRIVED)
FEW = 3
# What a change of the prescription names, by the field in which it is kept.
FIELD_WORDS = {
    "prescriber": gettext_lazy("prescriber"),
    "order_number": gettext_lazy("order number"),
    "patient_code": gettext_lazy("patient code"),
    "patient_age": gettext_lazy("patient age"),
    "patient_sex": gettext_lazy("patient sex"),
    "work_description": gettext_lazy("work description"),
    "impression_material": gettext_lazy("impression material"),
    "base_material": gettext_lazy("base material"),
    "shade": gettext_lazy("shade"),
    "tooth_wishes": gettext_lazy("tooth wishes"),
    "subcontractor": gettext_lazy("subcontractor"),
    "notes": gettext_lazy("notes"),
}
# How a signature was given, as it is kept.
SIGNED_HOW = (gettext_noop("on the screen"), gettext_noop("signed paper held by the laboratory"))
# A case that came back again and again has hundreds of entries; so many are shown at once.
LONGEST = 60
People = Mapping[int, str]


@dataclass(frozen=True)
class Happening:
    """One line of the log: the event, what about it says something, and its mark on the line."""

    event: Event
    words: str
    mark: str


def happenings(events: Iterable[Event], people: Iterable[User] = ()) -> list[Happening]:
    """The log in words, in the order given; `people` are those whom work was given to."""
    names = {person.pk: person.display_name for person in people}
    return [Happening(event, _words(event, names), _mark(event)) for event in events]


def lately(events: QuerySet[Event], people: Iterable[User] = (), *, few: int) -> dict[str, Any]:
    """For a case's own page: the last few, what was before them, and whether there is more than a page should hold."""
    log = happenings(events[: LONGEST + 1], people)
    few = min(few, LONGEST)
    return {"log": log[:few], "earlier": log[few:LONGEST], "log_goes_on": len(log) > LONGEST}


def log_page(
    request: HttpRequest, case: Case, events: QuerySet[Event], people: Iterable[User] = ()
) -> dict[str, Any]:
    """For a page of its own: the whole log of a case, a page at a time."""
    found = stretch(request, events, by="position", size=LONGEST)
    return {"case": case, "page": found, "log": happenings(found, people)}


def _mark(event: Event) -> str:
    if event.act == Act.SENT_BACK:
        return "is-return"
    return "is-handing" if event.act in HANDINGS else ""


def _words(event: Event, people: People) -> str:
    say = SAID.get(Act(event.act))
    return say(event, people) if say else ""


def _stage_name(kind: object) -> str:
    return str(StageKind(kind).label) if kind in StageKind.values else ""


def _opened(event: Event, people: People) -> str:
    kind, arches, start = (event.after.get(name, "") for name in ("kind", "arches", "starts_at"))
    parts = [
        str(CaseKind(kind).label) if kind in CaseKind.values else "",
        in_a_sentence(Arches(arches).label) if arches in Arches.values else "",
        _("from {stage} on").format(stage=in_a_sentence(_stage_name(start))) if _stage_name(start) else "",
    ]
    return ", ".join(filter(None, parts))


def _changed(event: Event, people: People) -> str:
    named = [str(FIELD_WORDS.get(name, name.replace("_", " "))) for name in event.after]
    return _("Changed: {fields}").format(fields=", ".join(named)) if named else ""


def _received(event: Event, people: People) -> str:
    after = event.after
    return _("Disinfected with {agent}, {minutes} min (its label asks {asked})").format(
        agent=after.get("agent"), minutes=after.get("minutes"), asked=after.get("minutes_required")
    )


def _finished(event: Event, people: People) -> str:
    unticked = event.after.get("steps_not_ticked") or []
    left = (
        _("Not ticked: {steps}").format(steps="; ".join(unticked))
        if len(unticked) <= FEW
        else _("{count} steps not ticked").format(count=len(unticked))
    )
    return ". ".join(filter(None, [_outcome(event), left if unticked else ""]))


def _sent_back(event: Event, people: People) -> str:
    cause = event.after.get("cause", "")
    went = _("{cause}. Back to {stage}, visit {visit}").format(
        cause=ReturnCause(cause).label if cause in ReturnCause.values else "",
        stage=in_a_sentence(_stage_name(event.after.get("to"))),
        visit=event.after.get("visit"),
    )
    return ". ".join(filter(None, [_outcome(event).rstrip("."), went]))


def _assigned(event: Event, people: People) -> str:
    if "pinned" in event.after:
        stays = _("Stays where it is in every proposal")
        return stays if event.after["pinned"] else _("Proposals may move it")
    to = event.after.get("assignee")
    if not to:
        return _("To nobody")
    return _("To {person}").format(person=people[to]) if to in people else _("To somebody who has left")


def _dated(event: Event, people: People) -> str:
    """Days by kind of stage, or by a stage's own name where the laboratory's week moved them."""
    return "; ".join(f"{_stage_name(kind) or kind} {_day(text)}" for kind, text in event.after.items())


def _day(text: str) -> str:
    try:
        return day(datetime.date.fromisoformat(text))
    except ValueError:
        return _("no date")


def _noted(event: Event, people: People) -> str:
    if "weight" in event.after:
        return _("A day of lateness counts {weight} times").format(weight=event.after["weight"])
    return _outcome(event)


def _outcome(event: Event) -> str:
    """What was found at the chair, unless it was erased with the patient's data."""
    said = event.after.get("outcome", "")
    return "" if is_erased(said) else said


def _reading(event: Event, people: People) -> str:
    after = event.after
    was, now = event.before.get("value"), _figure(after["value"], after["unit"])
    name = _named(after.get("quantity", ""), after.get("arch", ""))
    words = _("{figure}: {before} becomes {value}") if was else "{figure}: {value}"
    return words.format(figure=name, before=_figure(was, after["unit"]) if was else "", value=now)


def _prescribed(event: Event, people: People) -> str:
    after = event.after
    name, value = after.get("dimension", ""), after.get("value", "None")
    said = _("taken back") if value == "None" else _figure(value, QUANTITIES[name].unit)
    return f"{_named(name, after.get('arch', ''))}: {said}"


def _named(quantity: str, arch: str) -> str:
    label = str(QUANTITIES[quantity].label) if quantity in QUANTITIES else quantity
    return f"{label}, {ARCH_WORDS.get(arch, arch)}" if arch else label


def _figure(value: str, unit: str) -> str:
    return with_unit(Decimal(value), unit)


def _specified(event: Event, people: People) -> str:
    return _("{stage}, revision {revision}").format(
        stage=_stage_name(event.after.get("stage")), revision=event.after.get("revision")
    )


def _step(event: Event, people: People) -> str:
    return _(str(event.after.get("step", "")))


def _attached(event: Event, people: People) -> str:
    return _(str((event.after or event.before).get("what", "")))


def _undone(event: Event, people: People) -> str:
    act = event.before.get("act", "")
    steps = "; ".join(_(str(step)) for step in event.before.get("steps", []))
    return ": ".join(filter(None, [str(Act(act).label) if act in Act.values else "", steps]))


def _signed(event: Event, people: People) -> str:
    said = _(str(event.after.get("how", "")))
    return said[:1].upper() + said[1:]


SAID: dict[Act, Callable[[Event, People], str]] = {
    Act.OPENED: _opened,
    Act.PRESCRIPTION_CHANGED: _changed,
    Act.SIGNED: _signed,
    Act.RECEIVED: _received,
    Act.FINISHED: _finished,
    Act.SENT_BACK: _sent_back,
    Act.ASSIGNED: _assigned,
    Act.DATED: _dated,
    Act.READING: _reading,
    Act.CORRECTION: _reading,
    Act.PRESCRIBED: _prescribed,
    Act.SPECIFIED: _specified,
    Act.NOTE: _noted,
    Act.STEP_TICKED: _step,
    Act.STEP_UNTICKED: _step,
    Act.ATTACHED: _attached,
    Act.ATTACHMENT_REMOVED: _attached,
    Act.UNDONE: _undone,
}
