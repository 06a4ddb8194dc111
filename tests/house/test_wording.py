import pytest

from tests.house.checks import wording
from tests.house.checks.report import assert_none

CHECKS = [wording.words_of_elsewhere, wording.documents_that_are_not_here]


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.__name__)
def test_the_project_speaks_of_itself_alone(check, project_root):
    assert_none(check(project_root))
