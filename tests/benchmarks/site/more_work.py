"""More cases for an archive that is there already: copies of those whose work waits at the bench."""

import random

from django.db import transaction

from labcases.cases.choices import StageState
from labcases.cases.models import Case, NumberSeries, Stage
from labcases.demo.archive.copies import Copier, People
from labcases.demo.archive.patterns import TABLES, pattern_of
from labcases.demo.archive.tables import set_sequences
from labcases.people.choices import Role
from labcases.people.models import User
from labcases.tickets.models import WorkTicket


@transaction.atomic
def take_in(many: int) -> None:
    """Before many tickets were issued: a copy has the rows of its pattern, but no papers."""
    waiting = Stage.objects.at_bench().filter(state=StageState.WAITING).exclude(kind="occlusion_rims")
    printed = WorkTicket.objects.values("stage__case")
    told = Case.objects.filter(pk__in=waiting.values("case")).exclude(pk__in=printed).order_by("pk")[:20]
    patterns = [pattern_of(case, whole=True) for case in told]
    series = dict(NumberSeries.objects.values_list("year", "last"))
    copier = Copier(_everybody(), numbers=series, dice=random.Random("more work"))
    for place in range(many):
        pattern = patterns[place % len(patterns)]
        copier.copy(pattern, opened_on=pattern.opened_on)
    copier.flush()
    for year, last in copier.numbers.items():
        NumberSeries.objects.update_or_create(year=year, defaults={"last": last})
    set_sequences(TABLES)


def _everybody() -> People:
    technicians, prescribers = (
        tuple(User.objects.filter(role=role).order_by("pk")) for role in (Role.TECHNICIAN, Role.CLINICIAN)
    )
    return People(technicians, prescribers)
