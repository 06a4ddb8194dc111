"""A case on its way, moved by the actions that people use, with the least that each step asks."""

from labcases.cases.actions.crossings import hand_to_clinic, receive_at_laboratory
from labcases.cases.actions.moves import finish_stage, start_stage
from labcases.cases.choices import Location, Place
from labcases.cases.models import Case, Stage
from tests.factories.cases import NOW


def current(case):
    """The stage where the case stands, as a page has just read it."""
    return Stage.objects.with_case().get(case=case, pk=Case.objects.get(pk=case.pk).current_stage_id)


def receive(case, by, *, now=NOW):
    receive_at_laboratory(case=case, agent="Label A", minutes=10, minutes_required=10, by=by, now=now)


def start(stage, by, *, now=NOW):
    start_stage(stage=stage, by=by, expected_version=stage.version, now=now)
    return Stage.objects.with_case().get(pk=stage.pk)


def finish(stage, by, *, now=NOW, **said):
    finish_stage(stage=stage, by=by, expected_version=stage.version, now=now, **said)
    return Stage.objects.with_case().get(pk=stage.pk)


def pass_stage(case, by, *, now=NOW):
    """Whatever it takes to have the current stage done."""
    stage = current(case)
    place = Case.objects.get(pk=case.pk).location
    if stage.place == Place.LABORATORY:
        if place != Location.LABORATORY:
            receive(case, by, now=now)
        stage = start(current(case), by, now=now)
    elif place == Location.LABORATORY:
        hand_to_clinic(case=case, by=by, now=now)
    return finish(stage, by, now=now)


def walk_to(case, kind, by, *, now=NOW):
    """The case with every stage before `kind` done; the stage it stands at then."""
    while current(case).kind != kind:
        pass_stage(case, by, now=now)
    return current(case)


def walk_to_the_end(case, by, *, now=NOW):
    while Case.objects.get(pk=case.pk).current_stage_id:
        pass_stage(case, by, now=now)
    return Case.objects.get(pk=case.pk)


def only_event_since(case, count):
    """The one event that was added after the first `count`; more or none fail the test."""
    (event,) = list(case.events.order_by("pk"))[count:]
    return event
