"""Puts the demo scenario into an empty site. A site that has the scenario already keeps what it has."""

import datetime
from typing import Any

from django.db import transaction

from labcases.cases.models import Case
from labcases.demo.scenario import read_moulds_text, read_people, read_stories
from labcases.demo.telling import Telling
from labcases.measurements.actions.moulds import import_moulds
from labcases.people.actions.staff import add_first_manager, add_person, add_practice, describe_laboratory
from labcases.people.choices import Role
from labcases.people.models import Practice, User
from labcases.people.refusals import Refused
from labcases.planning.actions.times import set_skills

SHOWN_SIGN_INS = ("ledger", "gypsum", "sample")


def load_demo(*, now: datetime.datetime) -> Case:
    """Load the scenario as of `now` and return the case whose ticket is shown; once loaded, only return it.

    Raises Refused for a site with people of its own: everybody knows the password of those of the scenario.
    """
    data = read_people()
    if not User.objects.filter(username__in=SHOWN_SIGN_INS).exists():
        if User.objects.exists():
            raise Refused("This site has people of its own; the demo goes into an empty site only.")
        with transaction.atomic():
            people = add_people(data)
            manager = people[data["manager"][0]["username"]]
            import_moulds(text=read_moulds_text(), note="Invented cards.", by=manager, now=now, expected=None)
            for story in read_stories():
                Telling(story, people=people, now=now).tell()
    return _shown_case()


def _shown_case() -> Case:
    """The case of the story that has a ticket; whoever tries the demo may have changed its code or used it again."""
    shown = next(story for story in read_stories() if story.ticket)
    in_order = Case.objects.order_by("pk")
    return in_order.filter(patient_code=shown.patient).first() or in_order[0]


def add_people(data: dict[str, Any]) -> dict[str, User]:
    """The laboratory, its practices and everybody of the scenario, by the names they sign in with."""
    password = data["password"]
    first = data["manager"][0]
    manager = add_first_manager(username=first["username"], display_name=first["name"], password=password)
    people = {manager.username: manager}
    describe_laboratory(**data["laboratory"], by=manager, expected_version=1)
    for row in data["technician"]:
        people[row["username"]] = add_person(
            username=row["username"],
            display_name=row["name"],
            role=Role.TECHNICIAN,
            may_release_outside=row.get("may_release_outside", False),
            password=password,
            by=manager,
        )
        set_skills(person=people[row["username"]], skills=row["skills"], expected=(), by=manager)
    for row in data["practice"]:
        practice = add_practice(code=row["code"], name=row["name"], address=row["address"], by=manager)
        people |= _add_clinicians(row["clinicians"], practice, password, manager)
    return people


def _add_clinicians(
    rows: list[dict[str, str]], practice: Practice, password: str, manager: User
) -> dict[str, User]:
    return {
        row["username"]: add_person(
            username=row["username"],
            display_name=row["name"],
            role=Role.CLINICIAN,
            practice=practice,
            licence_number=row["licence"],
            password=password,
            by=manager,
        )
        for row in rows
    }
