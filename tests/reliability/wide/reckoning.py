"""What the database holds of what was asked for, against what was answered as done."""

from collections import Counter
from collections.abc import Iterable

from labcases.cases.choices import Act, Location, StageKind, StageState
from labcases.cases.models import Case, Event, Stage
from labcases.measurements.models import Reading
from labcases.people.actions.once import digest_of
from labcases.people.models import OneTimeKey
from labcases.records.checking import check_cases
from tests.reliability.wide.technician import Technician, key_of

# State and version of the stage, where the case stands, figures, entries of each kind, whether the form's key is taken.
AT_WORK = (StageState.IN_PROGRESS, 2, StageKind.OCCLUSION_RIMS, 0, 0, 0, False)
FINISHED = (StageState.DONE, 3, StageKind.INSERTION, 1, 1, 1, True)
HERE = (Location.LABORATORY, 0, False)
ON_ITS_WAY = (Location.TO_CLINIC, 1, True)


def faults(people: Iterable[Technician], stages: Iterable[Stage]) -> dict[str, list[str]]:
    """Lost: answered as done and not there. Halves: a part of what belongs together. Broken: no sound log."""
    finished = {pk for person in people for pk in person.finished}
    handed_over = {number for person in people for number in person.handed_over}
    work, crossings = _of_stages(stages), _of_cases(stages)
    halves = [f"stage {pk}: {trace}" for pk, trace in work.items() if trace not in (AT_WORK, FINISHED)]
    halves += [f"case {pk}: {trace}" for pk, trace in crossings.items() if trace not in (HERE, ON_ITS_WAY)]
    lost = [f"stage {pk}" for pk in finished if work[pk] != FINISHED]
    lost += [f"case {number}" for number in handed_over if crossings[number] != ON_ITS_WAY]
    broken = [str(checked.broken) for checked in check_cases(Case.objects.order_by("pk")) if checked.broken]
    return {"lost": lost, "halves": halves, "broken logs": broken}


def _of_stages(stages: Iterable[Stage]) -> dict[int, tuple[object, ...]]:
    figures = Counter(Reading.objects.values_list("stage", flat=True))
    taken, ended = _entries(Act.READING, "stage"), _entries(Act.FINISHED, "stage")
    keys, by = _keys_taken(), {stage.pk: stage.assignee for stage in stages}
    rows = Stage.objects.filter(pk__in=by).values_list("pk", "state", "version", "case__current_stage__kind")
    return {
        pk: (state, version, at, figures[pk], taken[pk], ended[pk], digest_of(key_of(pk), by[pk]) in keys)
        for pk, state, version, at in rows
    }


def _of_cases(stages: Iterable[Stage]) -> dict[str, tuple[object, ...]]:
    entries, keys = _entries(Act.HANDED_OVER, "case__number"), _keys_taken()
    by = {stage.case.number: stage.assignee for stage in stages}
    rows = Case.objects.filter(number__in=by).values_list("number", "location")
    return {
        number: (location, entries[number], digest_of(key_of(number), by[number]) in keys)
        for number, location in rows
    }


def _entries(act: Act, of: str) -> Counter[object]:
    return Counter(Event.objects.filter(act=act).values_list(of, flat=True))


def _keys_taken() -> set[str]:
    return set(OneTimeKey.objects.exclude(answer="").values_list("key", flat=True))
