import subprocess
import sys

import pytest
from django.core.management import CommandError, call_command

from labcases.cases.choices import Act, StageKind
from labcases.cases.models import Stage
from labcases.tickets.models import WorkTicket
from tests.factories.cases import CaseFactory, taken_in_case
from tests.factories.people import ManagerFactory, TechnicianFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager():
    return ManagerFactory(display_name="Orla Finch")


@pytest.fixture
def case(manager):
    return taken_in_case(by=manager, starts_at=StageKind.OCCLUSION_RIMS)


def print_ticket(number, output, *more, stage="occlusion_rims"):
    call_command("print_ticket", number, "--stage", stage, "--output", str(output), *more)


def test_the_ticket_is_written_and_printing_again_gives_the_same_file(case, tmp_path, capsys):
    first, second = tmp_path / "first.pdf", tmp_path / "second.pdf"
    print_ticket(case.number, first)
    print_ticket(case.number.lower(), second)
    assert first.read_bytes() == second.read_bytes()
    ticket = WorkTicket.objects.get()
    assert first.read_bytes() == bytes(ticket.pdf)
    assert ticket.sha256 in capsys.readouterr().out


def test_the_paper_can_be_us_letter(case, tmp_path):
    print_ticket(case.number, tmp_path / "a", "--paper", "letter")
    assert WorkTicket.objects.get().paper == "letter"


def test_the_event_names_the_person_the_stage_is_given_to_or_a_manager(case, manager, tmp_path):
    print_ticket(case.number, tmp_path / "a")
    assert case.events.get(act=Act.TICKET).by == manager
    person = TechnicianFactory()
    Stage.objects.filter(case=case, kind=StageKind.OCCLUSION_RIMS).update(assignee=person)
    print_ticket(case.number, tmp_path / "a")
    assert case.events.filter(act=Act.TICKET).last().by == person


def test_of_a_stage_done_twice_the_latest_visit_is_printed(case, manager, tmp_path):
    last = case.stages.order_by("position").last()
    again = Stage.objects.create(
        case=case, kind=StageKind.OCCLUSION_RIMS, place="laboratory", visit=2, position=last.position + 1
    )
    print_ticket(case.number, tmp_path / "a")
    assert WorkTicket.objects.get().stage == again


@pytest.mark.parametrize(
    ("number", "stage", "words"),
    [
        ("26-00417-X", "occlusion_rims", "does not fit the digits"),
        ("nonsense", "occlusion_rims", "is not a case number"),
        ("{other}", "occlusion_rims", "There is no case"),
        ("{case}", "try_in", "is no laboratory stage; allowed: custom_tray"),
        ("{case}", "rims", "is no laboratory stage"),
        ("{case}", "reline", "has no stage reline"),
    ],
)
def test_what_cannot_be_printed_is_refused_in_one_line(number, stage, words, case, tmp_path):
    number = number.format(case=case.number, other="26-99999-" + check_of("2699999"))
    with pytest.raises(CommandError, match=words) as refused:
        print_ticket(number, tmp_path / "a", stage=stage)
    assert refused.value.returncode == 2
    assert "\n" not in str(refused.value)
    assert not (tmp_path / "a").exists()


def check_of(body):
    from stdnum.iso7064 import mod_37_36

    return mod_37_36.calc_check_digit(body)


def test_an_incomplete_case_is_refused(manager, tmp_path):
    case = taken_in_case(by=manager, sign=False)
    with pytest.raises(CommandError, match="not ready for the bench") as refused:
        print_ticket(case.number, tmp_path / "a", stage="custom_tray")
    assert refused.value.returncode == 2


def test_a_file_that_cannot_be_written_is_said(case, tmp_path):
    with pytest.raises(CommandError, match="can't be written: ") as refused:
        print_ticket(case.number, tmp_path)
    assert refused.value.returncode == 2


def test_an_unknown_paper_is_refused(case, tmp_path):
    with pytest.raises(CommandError, match="A4 or US Letter"):
        print_ticket(case.number, tmp_path / "a", "--paper", "a3")


def test_from_the_shell_it_ends_with_2_and_one_line(project_root):
    done = subprocess.run(
        [
            sys.executable,
            "manage.py",
            "print_ticket",
            "nonsense",
            "--stage",
            "occlusion_rims",
            "--output",
            "x.pdf",
        ],
        cwd=project_root,
        env={"LABCASES_DEBUG": "1", "PATH": "/usr/bin:/bin", "DATABASE_URL": "sqlite:///:memory:"},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 2
    assert done.stdout == ""
    assert len(done.stderr.strip().splitlines()) == 1
    assert "is not a case number" in done.stderr


def test_a_case_row_alone_has_no_stage_to_print(tmp_path):
    bare = CaseFactory(number="26-00001-" + check_of("2600001"))
    with pytest.raises(CommandError, match="has no stage"):
        print_ticket(bare.number, tmp_path / "a")
