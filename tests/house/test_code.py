"""The habits of the code that no linter holds, asked of the tree as it is."""

import pytest

from tests.house.checks import core, events, shape, writes
from tests.house.checks.report import assert_none

# No case is concerned, so no case's log can say it; each has its reason.
WITHOUT_A_CASE = {
    "people": "people and practices are not part of any case",
    "cases.set_checklist": "the laboratory's own list; stages already started keep their copy",
    "cases.set_path": "the laboratory's own path; open cases keep theirs",
    **{
        f"cases.{name}": "a file of rows; each case taken in from it is logged as any other"
        for name in (
            "keep_file",
            "name_columns",
            "accept_import",
            "try_import_again",
            "drop_import",
            "keep_judgements",
            "take_line",
            "note_fault",
            "end_import",
        )
    },
    "measurements.import_moulds": "the laboratory's own list of moulds; the rows say by whom and when",
    **{
        f"planning.{name}": "the laboratory's own week and days; no case has them"
        for name in (
            "set_laboratory_week",
            "set_person_hours",
            "close_days",
            "open_day",
            "close_day_again",
            "adopt_public_holidays",
            "add_absence",
            "remove_absence",
            "set_transport",
        )
    },
    **{
        f"planning.{name}": "the laboratory's own times and skills; due days already laid stay"
        for name in ("set_standard_time", "adopt_own_time", "use_delivered_time", "set_skills")
    },
    **{
        f"planning.{name}": "an address of a calendar; it says by whom and when"
        for name in ("make_feed", "revoke_feed")
    },
    **{
        f"planning.{name}": "a proposal only; what is accepted of it is given out, and that is logged"
        for name in ("propose", "improve_proposal", "stop_improving", "try_again", "decline", "write_result")
    },
    "post": "letters about what was logged already, and who wants them",
    "upkeep": "the site's own running: workers, jobs and backups; no case has them",
    "tickets.ask_for_papers": "a list of papers to be made; each paper that is issued is logged with its case",
    "tickets.print_again": "goes on with such a list",
    "cases.throw_away_old_rows": "rows of files that became no case; no case's log could tell of them",
    "measurements.set_lab_standard": "a dated row that says by whom; issued specifications keep theirs",
    "operation.restore_backup": "it brings every case back with the log that it had, and adds nothing to it",
}
CHECKS = [
    writes.rows_written_outside_actions,
    writes.sql_written_by_hand,
    writes.managers_reached_from_pages,
    core.foreign_imports_of_the_core,
    core.printers_elsewhere,
    core.clocks_read,
    shape.signal_receivers,
    shape.migrations_without_a_name,
    shape.files_too_long,
    shape.functions_too_long,
    shape.actions_with_positional_arguments,
]


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.__name__)
def test_the_code_is_free_of(check, project_root):
    assert_none(check(project_root))


def test_every_action_on_a_case_leaves_an_event(project_root):
    assert_none(events.actions_without_an_event(project_root, exempt=WITHOUT_A_CASE))


def test_every_exemption_is_still_needed(project_root):
    assert_none(events.exemptions_of_nothing(project_root, exempt=WITHOUT_A_CASE))
