"""The case crosses between clinic and laboratory: received, handed over, arrived."""

import datetime

from django.db import transaction

from labcases.cases.actions.guards import conflict_in, locked, log
from labcases.cases.choices import STILL_OPEN, Act, CaseState, Location, Place
from labcases.cases.models import Case, Disinfection
from labcases.people.access import works_in_laboratory
from labcases.people.models import User
from labcases.people.refusals import NotAllowed, Refused


def _move(case: Case, *, origins: tuple[str, ...], to: str) -> None:
    moved = Case.objects.filter(pk=case.pk, location__in=origins).update(location=to)
    if not moved:
        raise conflict_in(case, f"Case {case.number} is already {case.get_location_display().lower()}.")


@transaction.atomic
def receive_at_laboratory(
    *, case: Case, agent: str, minutes: int, minutes_required: int, by: User, now: datetime.datetime
) -> None:
    """Take the case in and record the disinfection of what came with it (minutes).

    CDC MMWR 2003;52(RR-17) asks laboratory and practice to state solution and contact time with each case
    (recalled); the product's own label gives the time that is required.
    """
    if not works_in_laboratory(by):
        raise NotAllowed("Only the laboratory receives cases.")
    if not agent.strip():
        raise Refused("Name the disinfectant.")
    if minutes_required < 1:
        raise Refused("Give the contact time that the disinfectant's label asks, in whole minutes.")
    if minutes < minutes_required:
        raise Refused(
            f"{minutes} minutes is shorter than the {minutes_required} minutes that the disinfectant's label asks."
        )
    case = locked(case.pk)
    if case.state not in STILL_OPEN or case.current_stage is None:
        raise Refused(f"Case {case.number} is {case.get_state_display().lower()}.")
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
        raise NotAllowed("Only the laboratory hands cases over.")
    case = locked(case.pk)
    if case.state != CaseState.OPEN or not case.current_stage or case.current_stage.place != Place.CLINIC:
        raise Refused(f"Case {case.number} has work left at the laboratory before it goes to the clinic.")
    _move(case, origins=(Location.LABORATORY,), to=Location.TO_CLINIC)
    log(case, Act.HANDED_OVER, by=by, now=now, stage=case.current_stage, before={"location": case.location})


@transaction.atomic
def accept_at_clinic(*, case: Case, by: User, now: datetime.datetime) -> None:
    own_practice = by.is_clinician and by.practice_id == case.practice_id
    if not (own_practice or by.is_manager):
        raise NotAllowed("Only the practice confirms what arrived there.")
    case = locked(case.pk)
    _move(case, origins=(Location.TO_CLINIC,), to=Location.CLINIC)
    log(case, Act.ARRIVED, by=by, now=now, stage=case.current_stage, before={"location": case.location})
