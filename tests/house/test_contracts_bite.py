"""Every contract and every house check, tried on a copy of the tree in which its fault is planted."""

import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

import pytest

from tests.house import test_code, test_documents, test_templates, test_wording
from tests.house.checks import core, documents, events, markup, shape, wording, writes

LINTER = Path(sys.executable).with_name("lint-imports")


@pytest.fixture(scope="module")
def tree(project_root, tmp_path_factory) -> Path:
    copy = tmp_path_factory.mktemp("planted")
    for folder in ("labcases", "templates"):
        shutil.copytree(project_root / folder, copy / folder, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "Makefile"):
        shutil.copy(project_root / name, copy)
    return copy


@contextmanager
def planted(root: Path, files: dict[str, str]) -> Iterator[None]:
    """The files with the text added at their end, or made; afterwards all is as it was."""
    before = {root / name: (root / name).read_text() if (root / name).exists() else None for name in files}
    folders = {path.parent for path in before if not path.parent.exists()}
    for path, text in before.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text((text or "") + "\n" + files[str(path.relative_to(root))] + "\n")
    try:
        yield
    finally:
        for path, text in before.items():
            path.unlink() if text is None else path.write_text(text)
        for folder in folders:
            shutil.rmtree(folder)


def lint(root: Path, contract: str) -> subprocess.CompletedProcess[str]:
    command = [LINTER, "--no-logo", "--no-cache", "--contract", contract]
    return subprocess.run(command, cwd=root, capture_output=True, text=True, check=False)


PLANTED_IMPORTS = {
    "a lower room imports a higher one": (
        "one-way-down",
        {"labcases/cases/queries.py": "from labcases.office import apps"},
        "labcases.cases is not allowed to import labcases.office",
    ),
    "the import is hidden in a function": (
        "one-way-down",
        {"labcases/people/access.py": "def planted():\n    from labcases.cases import models"},
        "labcases.people is not allowed to import labcases.cases",
    ),
    "one audience imports another": (
        "one-way-down",
        {"labcases/bench/planted.py": "from labcases.office import apps"},
        "labcases.bench is not allowed to import labcases.office",
    ),
    "a new room has no place": (
        "one-way-down",
        {"labcases/shed/__init__.py": ""},
        "labcases.shed",
    ),
    "models import actions": (
        "same-order-inside",
        {"labcases/cases/models.py": "from labcases.cases import actions"},
        "labcases.cases.models is not allowed to import labcases.cases.actions",
    ),
    "a drawer for odds and ends": (
        "same-order-inside",
        {"labcases/measurements/utils.py": ""},
        "labcases.measurements.utils",
    ),
    "the arithmetic of days imports the scheduler": (
        "same-order-in-planning",
        {"labcases/planning/working_time/planted.py": "from labcases.planning import scheduling"},
        "labcases.planning.working_time is not allowed to import labcases.planning.scheduling",
    ),
    "the whole record's checking writes": (
        "same-order-in-records",
        {"labcases/records/checking.py": "from labcases.records import actions"},
        "labcases.records.checking is not allowed to import labcases.records.actions",
    ),
    "what reads a file knows its row": (
        "same-order-in-attachments",
        {"labcases/attachments/files/planted.py": "from labcases.attachments import models"},
        "labcases.attachments.files is not allowed to import labcases.attachments.models",
    ),
    "a drawing reads rows": (
        "same-order-in-tickets",
        {
            "labcases/tickets/models.py": "",
            "labcases/tickets/drawing/planted.py": "def planted():\n    from labcases.tickets import models",
        },
        "labcases.tickets.drawing is not allowed to import labcases.tickets.models",
    ),
    "the core imports Django": (
        "core-without-framework",
        {"labcases/prosthodontics/planted.py": "from django.db import models"},
        "labcases.prosthodontics is not allowed to import django",
    ),
    "the core has a cycle": (
        "core-without-cycles",
        {
            "labcases/prosthodontics/planted_one.py": "from labcases.prosthodontics import planted_two",
            "labcases/prosthodontics/planted_two.py": "from labcases.prosthodontics import planted_one",
        },
        "planted_",
    ),
    "a page imports a model": (
        "pages-without-models",
        {"labcases/bench/planted.py": "from labcases.cases.models import Case"},
        "labcases.bench is not allowed to import labcases.cases.models",
    ),
    "a page prints": (
        "one-printer",
        {"labcases/bench/planted.py": "def planted():\n    from weasyprint import HTML"},
        "labcases.bench is not allowed to import weasyprint",
    ),
    "a module imports the settings": (
        "settings-through-django",
        {"labcases/config/planted.py": "from labcases.config.settings import DEBUG"},
        "labcases.config.planted",
    ),
}


@pytest.mark.parametrize("name", PLANTED_IMPORTS)
def test_the_linter_finds(name, tree):
    contract, files, words = PLANTED_IMPORTS[name]
    clean = lint(tree, contract)
    assert clean.returncode == 0, clean.stdout + clean.stderr
    with planted(tree, files):
        found = lint(tree, contract)
    assert found.returncode == 1, found.stdout + found.stderr
    assert words in re.sub(r"\s+", " ", found.stdout)


def test_every_contract_has_a_planted_fault(project_root):
    written = re.findall(r'^id = "([\w-]+)"', (project_root / "pyproject.toml").read_text(), re.MULTILINE)
    assert set(written) == {contract for contract, _, _ in PLANTED_IMPORTS.values()}


LONG_FUNCTION = "def f{}():\n" + "    pass\n" * 30
ATOMIC = "from django.db import transaction\n\n@transaction.atomic\ndef planted({}):\n    pass\n"
# Put together here, so that the text stands in the copy alone.
DOCUMENT = "planted" + ".md"
ELSEWHERE = "# see /ro" + "ot/notes, iss" + "ue 7 and py" + "pi.org"

without_an_event = partial(events.actions_without_an_event, exempt=test_code.WITHOUT_A_CASE)

PLANTED_HABITS = {
    "a page saves a row": (
        writes.rows_written_outside_actions,
        {"labcases/bench/planted.py": "def f(stage):\n    stage.save(update_fields=['state'])"},
        "labcases/bench/planted.py:3: .save() writes rows",
    ),
    "a query updates rows": (
        writes.rows_written_outside_actions,
        {"labcases/cases/planted.py": "def f(rows):\n    rows.filter(pk=1).update(state='done')"},
        ".update() writes rows",
    ),
    "a view makes a row if it is missing": (
        writes.rows_written_outside_actions,
        {"labcases/office/views/planted.py": "def f(rows):\n    rows.get_or_create(pk=1)"},
        ".get_or_create() writes rows",
    ),
    "a module has a cursor": (
        writes.sql_written_by_hand,
        {"labcases/cases/planted.py": "def f(connection):\n    connection.cursor()"},
        ".cursor() goes past",
    ),
    "a page reaches a manager": (
        writes.managers_reached_from_pages,
        {"labcases/clinic/planted.py": "def f(case):\n    return type(case).objects.all()"},
        ".objects in a page",
    ),
    "the core imports a package": (
        core.foreign_imports_of_the_core,
        {"labcases/prosthodontics/planted.py": "def f():\n    import pandas"},
        "the core imports pandas",
    ),
    "the core imports a room above it by a relative name": (
        core.foreign_imports_of_the_core,
        {"labcases/prosthodontics/planted.py": "from ..cases import models"},
        "the core imports labcases.cases.models",
    ),
    "another module of the tickets prints": (
        core.printers_elsewhere,
        {"labcases/tickets/planted.py": "def f():\n    import weasyprint"},
        "only labcases/tickets/press.py does",
    ),
    "an action reads the clock": (
        core.clocks_read,
        {"labcases/cases/actions/planted.py": "from django.utils import timezone\nnow = timezone.now()"},
        "timezone.now() fetches the time",
    ),
    "a signal receiver": (
        shape.signal_receivers,
        {"labcases/cases/planted.py": "from django.db.models.signals import post_save"},
        "signals are not used here",
    ),
    "a migration without a name": (
        shape.migrations_without_a_name,
        {"labcases/cases/migrations/0099_auto_20260101_0101.py": ""},
        "0099_auto_20260101_0101.py",
    ),
    "a file that eats its room": (
        shape.files_too_long,
        {"labcases/cases/planted.py": "\n" * 600},
        "split it by theme",
    ),
    "functions that are long as a rule": (
        shape.functions_too_long,
        {"labcases/shed/__init__.py": "\n".join(LONG_FUNCTION.format(n) for n in range(5))},
        "labcases/shed: the median function has 31 lines",
    ),
    "an action with two arguments by position": (
        shape.actions_with_positional_arguments,
        {"labcases/cases/actions/planted.py": ATOMIC.format("case, by")},
        "planted takes 2 positional arguments",
    ),
    "an action that leaves no event": (
        without_an_event,
        {"labcases/cases/actions/planted.py": ATOMIC.format("*, case, by, now")},
        "planted changes rows and leaves no event",
    ),
    "an inline script": (
        markup.inline_scripts_and_styles,
        {"templates/pages/planted.html": "<script>alert(1)</script>"},
        "an inline script on <script>",
    ),
    "an inline style": (
        markup.inline_scripts_and_styles,
        {"templates/pages/planted.html": '<p {% if x %}style="color:red"{% endif %}>'},
        "a style attribute on <p>",
    ),
    "an inline handler": (
        markup.inline_scripts_and_styles,
        {"templates/pages/planted.html": '<button onclick="go()">Go</button>'},
        "an inline handler (onclick)",
    ),
    "markup let through": (
        markup.unescaped_output,
        {"templates/pages/planted.html": "<p>{{ note|safe }}</p>"},
        "lets typed text through",
    ),
    "a fragment with two roots": (
        markup.fragments_without_one_root,
        {
            "templates/bench/_planted.html": '<p id="a"></p><p id="b"></p>',
            "labcases/bench/planted.py": 'FRAGMENT = "bench/_planted.html"',
        },
        "has more than one root element",
    ),
    "a fragment whose root has no id": (
        markup.fragments_without_one_root,
        {
            "templates/bench/_planted.html": "<section></section>",
            "labcases/bench/planted.py": 'FRAGMENT = "bench/_planted.html"',
        },
        "has a root element without an id",
    ),
    "an element left open in one branch": (
        markup.elements_left_open,
        {"templates/pages/planted.html": "{% if x %}<div>{% else %}<p></p>{% endif %}"},
        "closes more or fewer elements",
    ),
    "a fragment that is not there": (
        markup.fragments_named_but_missing,
        {"labcases/bench/planted.py": 'FRAGMENT = "bench/_planted.html"'},
        "answered by a view but is not there",
    ),
    "a fragment nobody includes": (
        markup.fragments_that_no_page_includes,
        {"templates/bench/_planted.html": '<p id="a"></p>'},
        "no template includes it",
    ),
    "a path of one machine": (
        wording.words_of_elsewhere,
        {"labcases/cases/planted.py": ELSEWHERE},
        "names a path of one machine",
    ),
    "a registry's host": (
        wording.words_of_elsewhere,
        {"labcases/cases/planted.py": ELSEWHERE},
        "names a package registry's host",
    ),
    "a ticket that readers cannot see": (
        wording.words_of_elsewhere,
        {"labcases/cases/planted.py": ELSEWHERE},
        "names a ticket that readers cannot see",
    ),
    "a document that is not there": (
        wording.documents_that_are_not_here,
        {"labcases/cases/planted.py": "# see planted-nowhere" + ".md"},
        "which is not in the project",
    ),
    "a link that leads nowhere": (
        documents.links_that_lead_nowhere,
        {DOCUMENT: "[here](labcases/nowhere.png)"},
        "the link labcases/nowhere.png leads nowhere",
    ),
    "a document names a module that was renamed": (
        documents.paths_that_are_not_there,
        {DOCUMENT: "as `cases/planted_nowhere.py` does"},
        "names the path cases/planted_nowhere.py",
    ),
    "a document names a command that nobody wrote": (
        documents.commands_that_do_not_exist,
        {DOCUMENT: "    python manage.py planted_nowhere FILE"},
        "names the command planted_nowhere",
    ),
    "a document names a job that make does not know": (
        documents.jobs_that_make_does_not_know,
        {DOCUMENT: "`make nowhere` does it"},
        "names the job of make nowhere",
    ),
    "a document names a function that is gone": (
        documents.names_that_nothing_has,
        {DOCUMENT: "a verb such as `do_nothing_" + "nowhere`"},
        "which does not exist",
    ),
}


@pytest.mark.parametrize("name", PLANTED_HABITS)
def test_a_house_check_finds(name, tree):
    check, files, words = PLANTED_HABITS[name]
    before = set(check(tree))
    with planted(tree, files):
        found = set(check(tree)) - before
    assert any(words in fault for fault in found), found or "nothing was found"
    assert set(check(tree)) == before


def test_every_house_check_has_a_planted_fault():
    tried = {getattr(check, "func", check) for check, _, _ in PLANTED_HABITS.values()}
    assert {*test_code.CHECKS, *test_documents.CHECKS, *test_templates.CHECKS, *test_wording.CHECKS} <= tried
