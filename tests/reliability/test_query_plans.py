"""No page reads the archive: what each asks of the database is answered from an index, whatever has been closed."""

import datetime

import pytest
from django.db import transaction
from django.urls import reverse

from labcases.cases.choices import CaseState, StageState
from labcases.cases.models import Case, ImportLine, Stage
from labcases.clinic.views import cases as completed_cases
from labcases.demo.archive.generating import generate_archive
from labcases.demo.scenario import read_stories
from labcases.office.views import importing, upkeep
from labcases.pages import happenings
from labcases.people.models import Practice, User
from labcases.post.choices import LetterState
from labcases.post.models import Letter
from tests.factories.cases import CaseImportFactory, ImportLineFactory
from tests.factories.post import LetterFactory
from tests.reliability.plans import queries_asked, reads_too_much, seem_large

pytestmark = pytest.mark.django_db

NOW = datetime.datetime.now(datetime.UTC)
CASES, WAITING = 700, 30
# More than the open cases have of anything, and far less than the archive.
MOST = 450
REACHED = ("waiting", "in_progress", "out", "returned")


@pytest.fixture(scope="module")
def archive(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock(), transaction.atomic():
        stories = [next(story for story in read_stories() if story.reached == reached) for reached in REACHED]
        generate_archive(cases=CASES, seed=5, now=NOW, waiting=WAITING, lives=3, stories=stories)
        seem_large(100)
        yield
        transaction.set_rollback(True)


def opened(client, username, name, *args, **query):
    client.force_login(User.objects.get(username=username))
    with queries_asked() as asked:
        response = client.get(reverse(name, args=args), query)
    assert response.status_code == 200
    return response, asked


def assert_bounded(queries):
    assert queries
    too_much = [step for query in queries for step in reads_too_much(query, most=MOST)]
    assert not too_much, "\n".join(too_much)
    assert len(queries) <= 12, "\n".join(sql[:200] for sql, _ in queries)


@pytest.mark.parametrize(
    "query",
    [
        {},
        {"late": "on"},
        {"person": "nobody"},
        {"state": "all"},
        {"state": "complete"},
        {"state": "cancelled"},
        {"state": "all", "where": "clinic"},
        {"state": "all", "stage": "try_in"},
        {"state": "all", "person": "gypsum"},
        {"state": "all", "practice": "P007"},
        {"state": "all", "q": "P003-1"},
        {"state": "all", "q": "Elm Hill"},
        {"state": "all", "q": "Practice 0"},
        {"state": "all", "q": "Prescriber 00"},
        {"state": "all", "q": "el"},
        {"state": "all", "q": "nothing like it"},
        {"q": "practice"},
    ],
    ids=str,
)
def test_the_list_of_cases(archive, client, query):
    keys = {"person": (User, "username"), "practice": (Practice, "code")}
    for name, (model, column) in keys.items():
        if query.get(name) not in (None, "nobody"):
            query = {**query, name: model.objects.get(**{column: query[name]}).pk}
    _, queries = opened(client, "ledger", "office:cases", **query)
    assert_bounded(queries)


def test_a_page_of_the_archive_far_back(archive, client):
    response, _ = opened(client, "ledger", "office:cases", state="all")
    response, _ = opened(client, "ledger", "office:cases", state="all", older=response.context["page"].older)
    response, queries = opened(
        client, "ledger", "office:cases", state="all", older=response.context["page"].older
    )
    assert len(response.context["page"].object_list) == 50
    assert_bounded(queries)


def older(client, username, name, *args, **query):
    """The last page of a list, with what was asked for it."""
    response, queries = opened(client, username, name, *args, **query)
    while mark := response.context["page"].older:
        response, queries = opened(client, username, name, *args, **query, older=mark)
    return response, queries


@pytest.mark.parametrize("query", [{}, {"q": "P0"}, {"q": "26-00"}, {"q": "nothing like it"}], ids=str)
def test_a_practice_s_completed_cases(archive, client, query, monkeypatch):
    monkeypatch.setattr(completed_cases, "PAGE_SIZE", 5)
    _, queries = opened(client, "sample", "clinic:completed", **query)
    assert_bounded(queries)
    if not query:
        response, queries = older(client, "sample", "clinic:completed")
        assert response.context["page"].newer
        assert_bounded(queries)


@pytest.mark.parametrize(("username", "room"), [("ledger", "office"), ("sample", "clinic")])
def test_a_long_log_is_read_a_page_at_a_time(archive, client, username, room, monkeypatch):
    monkeypatch.setattr(happenings, "LONGEST", 8)
    practice = User.objects.get(username="sample").practice
    case = Case.objects.filter(practice=practice).order_by("-log_length").first()
    assert case.log_length > 5 * 8
    response, queries = older(client, username, f"{room}:case_log", case.number)
    assert response.context["page"].newer
    # The practice is not told of the bench's own steps and figures: these are read over.
    few = 3 * 8 if room == "office" else case.log_length
    assert not [step for query in queries for step in reads_too_much(query, most=few)]


def test_letters_that_went(archive, client, monkeypatch):
    """However many went, those that did not are told by an index of their own."""
    monkeypatch.setattr(upkeep, "LETTERS_SHOWN", 5)
    person = User.objects.get(username="sample")
    went = {"state": LetterState.SENT, "sent_at": NOW}
    letters = [LetterFactory.build(person=person, **went) for _ in range(MOST + 50)]
    letters += LetterFactory.build_batch(3, person=person)
    Letter.objects.bulk_create(letters)
    response, queries = opened(client, "ledger", "office:letters")
    assert (response.context["count"], len(list(response.context["page"]))) == (3, 5)
    assert_bounded(queries)
    _, queries = opened(client, "ledger", "office:letters", older=response.context["page"].older)
    assert_bounded(queries)


def test_files_of_cases(archive, client, monkeypatch):
    """Of the files that are shown alone the rows are counted, and these by an index."""
    monkeypatch.setattr(importing, "FILES_SHOWN", 3)
    files = CaseImportFactory.create_batch(9, made_by=User.objects.get(username="ledger"))
    lines = [ImportLineFactory.build(case_import=each, position=n) for each in files for n in range(1, 71)]
    ImportLine.objects.bulk_create(lines)
    response, queries = opened(client, "ledger", "office:imports")
    assert [each.rows for each in response.context["page"]] == [70] * 3
    assert_bounded(queries)
    _, queries = older(client, "ledger", "office:imports")
    assert_bounded(queries)


@pytest.mark.parametrize(
    ("username", "name"),
    [
        ("ledger", "office:today"),
        ("ledger", "office:plan"),
        ("ledger", "office:tickets"),
        ("ledger", "office:collections"),
        ("gypsum", "bench:work"),
        ("sample", "clinic:cases"),
    ],
)
def test_the_work_of_the_day(archive, client, username, name):
    _, queries = opened(client, username, name)
    assert_bounded(queries)


@pytest.mark.parametrize("state", ["open", "complete"])
@pytest.mark.parametrize(
    ("username", "name"), [("ledger", "office:case"), ("gypsum", "bench:case"), ("sample", "clinic:case")]
)
def test_a_case(archive, client, username, name, state):
    practice = {"practice": User.objects.get(username=username).practice} if username == "sample" else {}
    case = Case.objects.filter(state=CaseState(state), **practice).newest_first().first()
    _, queries = opened(client, username, name, case.number)
    assert_bounded(queries)


def test_a_bench_sheet_and_a_scan(archive, client):
    stage = Stage.objects.at_bench().filter(state=StageState.IN_PROGRESS).latest("pk")
    _, queries = opened(client, "gypsum", "bench:sheet", stage.pk)
    assert_bounded(queries)


def test_a_query_that_reads_an_archive_is_found(archive):
    with queries_asked() as asked:
        list(Case.objects.filter(notes__contains="whatever"))
        list(Stage.objects.filter(outcome="Done.").order_by("kind")[:10])
        # Under a name of the query's own, and by a key that the table has no index of.
        list(Stage.objects.filter(outcome="Done.", case__stages__hold_reason="None."))
    assert all(reads_too_much(query, most=MOST) for query in asked)
