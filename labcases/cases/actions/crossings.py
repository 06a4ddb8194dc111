"""The case crosses between clinic and laboratory: received, handed over, arrived."""

import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from labcases.cases.actions.guards import conflict_in, locked, log
from labcases.cases.choices import STILL_OPEN, Act, CaseState, Location, Place
from labcases.cases.models import Case, Disinfection
from labcases.people.access import works_in_laboratory
from labcases.people.models import User
from labcases.people.refusals import NotAllowed, Refused
from labcases.prosthodontics.wording import in_a_sentence


def _move(case: Case, *, origins: tuple[str, ...], to: str) -> None:
    moved = Case.objects.filter(pk=case.pk, location__in=origins).update(location=to)
    if not moved:
        words = _("Case {number} is already {place}.")
        place = in_a_sentence(case.get_location_display())
        raise conflict_in(case, words.format(number=case.number, place=place))


@transaction.atomic
def receive_at_laboratory(
    *, case: Case, agent: str, minutes: int, minutes_required: int, by: User, now: datetime.datetime
) -> None:
    """Take the case in and record the disinfection of what came with it (minutes).

    CDC MMWR 2003;52(RR-17) asks laboratory and practice to state solution and contact time with each case
    (recalled); the product's own label gives the time that is required.
    """
    if not works_in_laboratory(by):
        raise NotAllowed(_("Only the laboratory receives cases."))
    if not agent.strip():
        raise Refused(_("Name the disinfectant."))
    if minutes_required < 1:
        raise Refused(_("Give the contact time that the disinfectant's label asks, in whole minutes."))
    if minutes < minutes_required:
        raise Refused(
            _(
                "{minutes} minutes is shorter than the {asked} minutes that the disinfectant's label asks."
            ).format(minutes=minutes, asked=minutes_required)
        )
    case = locked(case.pk)
    if case.state not in STILL_OPEN or case.current_stage is None:
        words = _("Case {number} is {state}.")
        raise Refused(words.format(number=case.number, state=in_a_sentence(case.get_state_display())))
    _move(case, origins=(Location.TO_LABORATORY,), to=Location.LABORATORY)
    disinfection = Disinfection.objects.create(
        case=case,
        stage=case.current_stage,
        agent=agent.strip(),
        minutes=minutes,
        minutes_required=minutes_required,
        by=by,
        at=now,
    )
    log(
        case,
        Act.RECEIVED,
        by=by,
        now=now,
        stage=case.current_stage,
        before={"location": case.location},
        after={"agent": agent.strip(), "minutes": minutes, "minutes_required": minutes_required},
        of=[disinfection],
    )


@transaction.atomic
def hand_to_clinic(*, case: Case, by: User, now: datetime.datetime) -> None:
    if not works_in_laboratory(by):
        raise NotAllowed(_("Only the laboratory hands cases over."))
    case = locked(case.pk)
    if case.state != CaseState.OPEN or not case.current_stage or case.current_stage.place != Place.CLINIC:
        words = _("Case {number} has work left at the laboratory before it goes to the clinic.")
        raise Refused(words.format(number=case.number))
    _move(case, origins=(Location.LABORATORY,), to=Location.TO_CLINIC)
    log(case, Act.HANDED_OVER, by=by, now=now, stage=case.current_stage, before={"location": case.location})


@transaction.atomic
def accept_at_clinic(*, case: Case, by: User, now: datetime.datetime) -> None:
    own_practice = by.is_clinician and by.practice_id == case.practice_id
    if not (own_practice or by.is_manager):
        raise NotAllowed(_("Only the practice confirms what arrived there."))
    case = locked(case.pk)
    _move(case, origins=(Location.TO_CLINIC,), to=Location.CLINIC)
    log(case, Act.ARRIVED, by=by, now=now, stage=case.current_stage, before={"location": case.location})
