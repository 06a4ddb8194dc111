"""The work on a file of prescriptions, apart from its pages."""

from types import SimpleNamespace

from django.conf import settings
from django.utils import translation

from labcases.cases.choices import ImportState
from labcases.pages.importing import jobs


def test_what_is_kept_of_a_file_is_written_in_the_laboratorys_language_whoever_asks_for_it(monkeypatch):
    spoken = []
    monkeypatch.setattr(
        jobs, "import_by_id", lambda pk: SimpleNamespace(attempt=1, state=ImportState.CHECKING)
    )
    with translation.override("de"):
        answer = jobs._run(
            lambda found, attempt: spoken.append(translation.get_language()),
            1,
            1,
            was=ImportState.CHECKING,
            back_to=ImportState.MAPPING,
        )
        assert translation.get_language() == "de"
    assert (answer, spoken) == ("done", [settings.LANGUAGE_CODE])
