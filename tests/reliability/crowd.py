"""Many stages at work at once, laid in bulk, and people who sit at a browser each."""

from django.db.models import F, OuterRef, Subquery
from django.test import Client

from labcases.cases.choices import Location, Place, StageKind, StageState
from labcases.cases.models import Case, Stage
from tests.factories.cases import NOW
from tests.factories.people import ManagerFactory, PracticeFactory


def browser_of(person):
    browser = Client()
    browser.force_login(person)
    return browser


def stages_at_work(count, *, by, kind=StageKind.PROCESSING, numbered_from=0):
    """So many cases with a stage at work and the insertion still to come; no figure is asked at processing."""
    practice, manager = PracticeFactory(), ManagerFactory()
    cases = Case.objects.bulk_create(
        Case(
            number=f"98-{n:05d}-X",
            practice=practice,
            opened_at=NOW,
            opened_by=manager,
            state="open",
            location=Location.LABORATORY,
        )
        for n in range(numbered_from, numbered_from + count)
    )
    Stage.objects.bulk_create(stage for case in cases for stage in (_at_work(case, by, kind), _to_come(case)))
    at_work = Stage.objects.filter(case=OuterRef("pk"), state=StageState.IN_PROGRESS)
    Case.objects.filter(pk__in=[case.pk for case in cases]).update(
        current_stage=Subquery(at_work.values("pk")[:1])
    )
    return list(Stage.objects.filter(pk=F("case__current_stage"), case__in=cases).order_by("pk"))


def _at_work(case, by, kind):
    return Stage(
        case=case,
        kind=kind,
        place=Place.LABORATORY,
        position=1,
        state=StageState.IN_PROGRESS,
        started_at=NOW,
        assignee=by,
        version=2,
    )


def _to_come(case):
    return Stage(case=case, kind=StageKind.INSERTION, place=Place.CLINIC, position=2)
