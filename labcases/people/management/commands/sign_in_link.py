from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.urls import reverse
from django.utils import timezone

from labcases.people.actions.factors import reset_factors
from labcases.people.actions.links import make_link
from labcases.people.models import User
from labcases.people.refusals import Refused


class Command(BaseCommand):
    help = "Prints a link by which somebody chooses a password, once: for the manager whom no other can help."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("username")
        parser.add_argument(
            "--without-second-step", action="store_true", help="also take the second step from their sign-in"
        )

    def handle(self, *args: Any, username: str, without_second_step: bool, **options: Any) -> None:
        person = User.objects.filter(username__iexact=username).first()
        if person is None:
            raise CommandError(f"Nobody signs in as {username}.", returncode=2)
        try:
            key, link = make_link(person, by=None, now=timezone.now())
            if without_second_step:
                reset_factors(person, by=None)
        except Refused as refused:
            raise CommandError(refused.message, returncode=2) from refused
        address = settings.PUBLIC_URL + reverse("set_password", args=[key])
        until = timezone.localtime(link.expires_at)
        self.stdout.write(f"{address}\nFor {person}, once, until {until:%Y-%m-%d %H:%M}.")
