import sys
from getpass import getpass
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import Error

from labcases.people.actions.staff import add_first_manager
from labcases.people.models import User
from labcases.people.refusals import Refused


class Command(BaseCommand):
    help = "Adds the first lab manager of a new site, who then adds everybody else on its pages."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("username")
        parser.add_argument("name", help="as it stands on pages and tickets")
        parser.add_argument(
            "--password-stdin", action="store_true", help="read the password from standard input"
        )

    def handle(self, *args: Any, username: str, name: str, password_stdin: bool, **options: Any) -> None:
        password = sys.stdin.readline().rstrip("\r\n") if password_stdin else _typed()
        try:
            validate_password(password, User(username=username, display_name=name))
            manager = add_first_manager(username=username, display_name=name, password=password)
        except ValidationError as error:
            raise CommandError(" ".join(error.messages), returncode=2) from error
        except Refused as refused:
            raise CommandError(refused.message, returncode=2) from refused
        except Error as error:
            said = str(error).partition("\n")[0]
            raise CommandError(
                f"The database refused ({said}); a new one needs manage.py migrate first.", returncode=2
            ) from error
        self.stdout.write(f"{manager} can sign in as {manager.username}.")


def _typed() -> str:
    if not sys.stdin.isatty():
        raise CommandError("There is no terminal to type a password at: use --password-stdin.", returncode=2)
    password = getpass("Password: ")
    if getpass("The same again: ") != password:
        raise CommandError("The second was not the same; nobody was added.", returncode=2)
    return password
