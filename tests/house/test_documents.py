"""Whoever reads a document can go where it points and run what it says."""

import pytest

from tests.house.checks import documents
from tests.house.checks.report import assert_none

CHECKS = [
    documents.links_that_lead_nowhere,
    documents.paths_that_are_not_there,
    documents.commands_that_do_not_exist,
    documents.jobs_that_make_does_not_know,
    documents.names_that_nothing_has,
]


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.__name__)
def test_what_the_documents_name_is_there(check, project_root):
    assert_none(check(project_root))
