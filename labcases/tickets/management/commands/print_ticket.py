"""print_ticket: the work ticket of one stage of one case as a PDF file, from the command line."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from labcases.cases.choices import Place, StageKind
from labcases.cases.models import Case, Stage
from labcases.cases.numbers import parse_case_number
from labcases.people.models import User
from labcases.people.queries import bench_people
from labcases.prosthodontics.errors import LabCasesError
from labcases.tickets.actions import issue_ticket
from labcases.tickets.choices import Paper


class Command(BaseCommand):
    help = "Print the work ticket of a laboratory stage to a PDF file; what has not changed gives the same bytes."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("case_number", metavar="CASE_NUMBER")
        parser.add_argument(
            "--stage", required=True, help="such as occlusion_rims; its latest visit is printed"
        )
        parser.add_argument("--output", required=True, metavar="FILE")
        parser.add_argument("--paper", default=Paper.A4.value, help=" or ".join(Paper.values))

    def handle(self, *args: Any, **options: Any) -> None:
        stage = _stage(options["case_number"], options["stage"])
        try:
            ticket = issue_ticket(stage=stage, by=_issuer(stage), now=timezone.now(), paper=options["paper"])
            Path(options["output"]).write_bytes(ticket.pdf)
        except LabCasesError as error:
            raise CommandError(error.message, returncode=2) from error
        except OSError as error:
            raise CommandError(
                f"{options['output']} can't be written: {error.strerror}", returncode=2
            ) from error
        pages = "page" if ticket.pages == 1 else "pages"
        self.stdout.write(f"{options['output']}: {stage}, {ticket.pages} {pages}, SHA-256 {ticket.sha256}")


def _stage(number: str, kind: str) -> Stage:
    """The latest visit of that kind of laboratory stage in that case."""
    laboratory = [each.value for each in StageKind if each.place == Place.LABORATORY]
    if kind not in laboratory:
        raise CommandError(
            f"--stage: {kind} is no laboratory stage; allowed: {', '.join(laboratory)}", returncode=2
        )
    try:
        case = Case.objects.get(number=parse_case_number(number))
    except LabCasesError as error:
        raise CommandError(error.message, returncode=2) from error
    except Case.DoesNotExist:
        raise CommandError(f"There is no case {number}.", returncode=2) from None
    stage = case.stages.filter(kind=kind).order_by("-visit").first()
    if stage is None:
        raise CommandError(f"Case {case.number} has no stage {kind}.", returncode=2)
    return stage


def _issuer(stage: Stage) -> User:
    """Who the paper says has printed it: the person the stage is given to, else a manager."""
    person = stage.assignee or bench_people().order_by("role", "pk").first()
    if person is None:
        raise CommandError("Nobody works in the laboratory yet; add a person first.", returncode=2)
    return person
