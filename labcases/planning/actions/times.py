"""Standard times and skills."""

import datetime
from collections.abc import Iterable

from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from labcases.people.access import works_in_laboratory
from labcases.people.models import User
from labcases.people.refusals import Conflict, Refused
from labcases.planning.actions.guards import only_managers
from labcases.planning.models import PersonSkill, StandardTime
from labcases.planning.queries.times import OwnTime, standard_times
from labcases.planning.scheduling import times
from labcases.prosthodontics.errors import InputError
from labcases.prosthodontics.provenance import Provenance, Source
from labcases.prosthodontics.wording import in_a_sentence


@transaction.atomic
def set_standard_time(
    *,
    time: times.StandardTime,
    by: User,
    now: datetime.datetime,
    expected_version: int,
    adopted_from: int | None = None,
) -> None:
    """Set the laboratory's own time for a kind of stage (version 0: none is stored yet)."""
    only_managers(by)
    if time.stage not in times.USUAL_TIMES:
        raise Refused(_("There is no such kind of laboratory stage."))
    values = {
        "hands_on_minutes": time.hands_on,
        "waiting_minutes": time.waiting,
        "finishing_minutes": time.finishing,
        "lab_days": time.lab_days,
        "one_arch_percent": time.one_arch_percent,
        "skill": time.skill,
        "adopted_from": adopted_from,
        "changed_by": by,
        "changed_at": now,
    }
    row = StandardTime.objects.get_or_create(stage_kind=time.stage, defaults={**values, "version": 0})[0]
    changed = StandardTime.objects.filter(pk=row.pk, version=expected_version).update(
        version=F("version") + 1, **values
    )
    if not changed:
        raise Conflict(
            _("The time for {stage} was changed meanwhile.").format(
                stage=in_a_sentence(row.get_stage_kind_display())
            ),
            who=str(row.changed_by),
            when=row.changed_at,
        )


@transaction.atomic
def adopt_own_time(*, own: OwnTime, by: User, now: datetime.datetime, expected_version: int) -> None:
    """Take the median of the laboratory's own finished stages as the standard time."""
    only_managers(by)
    if not own.is_enough:
        raise Refused(
            ngettext(
                "{count} finished stage is too little to take a standard from.",
                "{count} finished stages are too few to take a standard from.",
                own.count,
            ).format(count=own.count)
        )
    before = standard_times()[own.stage]
    words = f"median of {own.count} stages finished in this laboratory"
    try:
        time = before.with_hands_on(round(own.median), Source(words, Provenance.DERIVED, "H"))
    except InputError as error:
        raise Refused(error.message) from error
    set_standard_time(time=time, by=by, now=now, expected_version=expected_version, adopted_from=own.count)


@transaction.atomic
def use_delivered_time(*, stage_kind: str, by: User, expected_version: int) -> None:
    """Go back to the starting value that the product came with."""
    only_managers(by)
    deleted = StandardTime.objects.filter(stage_kind=stage_kind, version=expected_version).delete()[0]
    if not deleted:
        raise Conflict(_("This time was changed by somebody else while this page was open."))


@transaction.atomic
def set_skills(*, person: User, skills: Iterable[str], expected: Iterable[str], by: User) -> None:
    """Replace a person's skills, if they still are those that the manager saw.

    A technician without any is given all kinds of work.
    """
    only_managers(by)
    wanted = set(skills)
    if not works_in_laboratory(person):
        raise Refused(_("{person} does not work in the laboratory.").format(person=person))
    if not wanted <= set(times.SKILLS):
        raise Refused(_("Choose the skills from the list."))
    User.objects.select_for_update().get(pk=person.pk)
    known = set(PersonSkill.objects.filter(person=person).values_list("skill", flat=True))
    if known != set(expected):
        raise Conflict(
            _("The skills of {person} were changed by somebody else while this page was open.").format(
                person=person
            )
        )
    PersonSkill.objects.filter(person=person).exclude(skill__in=wanted).delete()
    PersonSkill.objects.bulk_create(
        PersonSkill(person=person, skill=skill) for skill in sorted(wanted - known)
    )
