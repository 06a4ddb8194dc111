from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from labcases.demo.loading import SHOWN_SIGN_INS, load_demo
from labcases.demo.scenario import read_people
from labcases.people.models import User
from labcases.people.refusals import Refused


class Command(BaseCommand):
    help = (
        "Fills an empty site with an invented laboratory of some forty cases; run again, it changes nothing."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        call_command("migrate", interactive=False, verbosity=0)
        try:
            case = load_demo(now=timezone.localtime())
        except Refused as refusal:
            raise CommandError(refusal.message) from refusal
        password = read_people()["password"]
        self.stdout.write(f"Demo sign-ins, all with the password “{password}”:")
        for person in User.objects.filter(username__in=SHOWN_SIGN_INS).order_by("-role"):
            self.stdout.write(f"  {person.get_role_display():<12} {person.username:<10} ({person})")
        self.stdout.write(f"ticket case: {case.number}")
