import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from labcases.measurements.actions.moulds import import_moulds
from labcases.measurements.models import MouldList
from labcases.measurements.queries import current_mould_list, plain_moulds
from labcases.prosthodontics.teeth import write_moulds
from tests.office.desk import as_manager, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db
HEADING = "mould,six_anterior_width,central_width,central_length,posterior_sum"
LIST = HEADING + "\nPebble 1,44.0,8.0,9.5,30\nPebble 2,46.5,8.5,10.0,\n"


def names():
    return [mould.name for mould in plain_moulds(current_mould_list())]


def stored(text=LIST, by=None):
    return import_moulds(text=text, by=by, now=timezone.now(), expected=current_mould_list())


def in_the_box(response):
    return re.search(
        r'<textarea name="text"[^>]*>\s*(.*?)</textarea>', response.content.decode(), re.S
    ).group(1)


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:moulds")


def test_without_a_list_the_page_says_what_one_is_for(client):
    as_manager(client)
    response = client.get(reverse("office:moulds"))
    assert "No moulds yet" in response.content.decode()
    assert in_the_box(response).strip() == HEADING


def test_a_list_is_imported_from_text(client):
    as_manager(client)
    response = post(client, "office:moulds", text=LIST, note="From the cards", seen="")
    assert response.status_code == 302
    assert names() == ["Pebble 1", "Pebble 2"]
    shown = client.get(reverse("office:moulds")).content.decode()
    assert "Mould list 1 is kept, with 2 moulds." in shown
    assert "From the cards" in shown


@pytest.mark.parametrize(
    "content",
    [
        LIST.encode(),
        b"\xef\xbb\xbf" + LIST.replace(",", ";").replace(".", ",").encode(),
        LIST.replace("\n", "\r\n").encode("utf-16"),
    ],
)
def test_a_list_is_imported_from_a_file_however_it_was_saved(client, content):
    as_manager(client)
    post(client, "office:moulds", file=SimpleUploadedFile("moulds.csv", content), text=HEADING, seen="")
    assert names() == ["Pebble 1", "Pebble 2"]


def test_every_faulty_line_is_named_and_the_file_can_be_put_right_in_the_box(client):
    as_manager(client)
    faulty = LIST + "Pebble 3,460,8,9,30\nPebble 1,44,8,9,30\n"
    file = SimpleUploadedFile("moulds.csv", faulty.encode())
    response = post(client, "office:moulds", file=file, text="", seen="")
    assert response.status_code == 422
    said = response.content.decode()
    assert "Line 4, six anterior width: &quot;460&quot; is not taken; allowed: 25 to 70 mm." in said
    assert "Line 5, mould" in said
    assert "Pebble 3,460" in in_the_box(response)
    assert not MouldList.objects.exists()


def test_many_faults_are_counted_rather_than_listed(client):
    as_manager(client)
    lines = "".join(f"Pebble {n},440,8,9,30\n" for n in range(1, 31))
    response = post(client, "office:moulds", text=f"{HEADING}\n{lines}", seen="")
    said = response.content.decode()
    assert "Line 21, six" in said
    assert "Line 22, six" not in said
    assert "10 further faults." in said


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"\xff\x00\xfe", "no text in UTF-8"), (b"x" * 200_001, "larger than 200 kB")],
)
def test_a_file_that_is_no_list_is_refused_in_words(client, content, words):
    as_manager(client)
    response = post(client, "office:moulds", file=SimpleUploadedFile("m.csv", content), text="", seen="")
    assert response.status_code == 422
    assert words in response.content.decode()


def test_who_saw_an_older_list_gets_the_conflict_page(client):
    manager = as_manager(client)
    stored(by=manager)
    response = post(client, "office:moulds", text=LIST, seen="")
    assert response.status_code == 409
    assert "Pebble 1,44.0" in response.content.decode()
    assert MouldList.objects.count() == 1


def test_the_list_in_the_box_imports_as_itself(client):
    manager = as_manager(client)
    stored(HEADING + '\n"Pebble, large",44.25,8.0,9.5,\n', by=manager)
    before = plain_moulds(current_mould_list())
    stored(write_moulds(before), by=manager)
    assert plain_moulds(current_mould_list()) == before


def test_a_longer_list_takes_no_more_queries(client, django_assert_num_queries):
    manager = as_manager(client)
    counts = []
    for size in (1, 3):
        stored(HEADING + "\n" + "".join(f"Pebble {n},44,8,9,30\n" for n in range(size)), by=manager)
        with django_assert_num_queries(counts[0] if counts else 7, exact=bool(counts)) as taken:
            client.get(reverse("office:moulds"))
        counts.append(len(taken))
    assert counts[0] <= 12
