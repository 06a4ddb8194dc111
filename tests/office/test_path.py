import pytest
from django.urls import reverse

from labcases.cases.queries import path_for
from labcases.cases.rules import usual_path
from tests.office.desk import as_manager, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db
USUAL = usual_path("reline")


def sent(client, *stages, seen=USUAL, **data):
    boxes = {f"stage_{place}": kind for place, kind in enumerate(stages, 1)}
    return post(client, "office:path", "reline", seen=[str(kind) for kind in seen], **boxes, **data)


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:path", "reline")


def test_a_kind_that_is_none_is_not_found(client):
    as_manager(client)
    assert client.get(reverse("office:path", args=["bridge"])).status_code == 404


def test_the_laboratory_keeps_its_own_path_with_empty_boxes_left_out(client):
    as_manager(client)
    sent(client, "reline_impression", "", "master_cast", "reline", "insertion")
    assert path_for("reline") == ("reline_impression", "master_cast", "reline", "insertion")
    assert (
        "Master cast, at the laboratory"
        in client.get(reverse("office:path", args=["reline"])).content.decode()
    )


def test_the_delivered_path_comes_back(client):
    as_manager(client)
    sent(client, "reline")
    sent(client, seen=["reline"], usual="yes")
    assert path_for("reline") == USUAL


@pytest.mark.parametrize(
    ("stages", "words"),
    [
        ((), "at least one stage"),
        (("reline", "reline"), "on the path already"),
        (("soldering",), "valid choice"),
    ],
)
def test_a_path_that_cannot_be_is_refused(client, stages, words):
    as_manager(client)
    response = sent(client, *stages)
    assert response.status_code == 422
    assert words in response.content.decode()
    assert path_for("reline") == USUAL


def test_an_old_page_is_a_conflict(client):
    as_manager(client)
    sent(client, "reline")
    assert sent(client, "insertion").status_code == 409
    assert path_for("reline") == ("reline",)
