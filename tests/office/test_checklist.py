import pytest
from django.urls import reverse
from django.utils.translation import get_language

from labcases.cases.queries import checklist_for, own_checklists
from labcases.prosthodontics import wording
from labcases.prosthodontics.specification.steps import USUAL_STEPS
from tests.office.desk import as_manager, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db
KIND = "occlusion_rims"
USUAL = tuple(USUAL_STEPS[KIND])


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:checklist", KIND)


def test_a_kind_that_is_none_is_not_found(client):
    as_manager(client)
    assert client.get(reverse("office:checklist", args=["polishing"])).status_code == 404


def test_the_laboratory_keeps_its_own_steps(client):
    as_manager(client)
    post(client, "office:checklist", KIND, steps="Seal  the rim\n\n  Measure again \n", seen=USUAL)
    assert checklist_for(KIND) == ("Seal the rim", "Measure again")


def test_the_usual_steps_come_back(client):
    as_manager(client)
    post(client, "office:checklist", KIND, steps="Seal the rim", seen=USUAL)
    post(client, "office:checklist", KIND, usual="yes", seen=["Seal the rim"])
    assert checklist_for(KIND) == USUAL
    assert own_checklists() == {}


def test_the_usual_steps_typed_again_are_no_own_list(client):
    as_manager(client)
    post(client, "office:checklist", KIND, steps="\n".join(USUAL), seen=USUAL)
    assert own_checklists() == {}


@pytest.mark.parametrize(
    ("steps", "words"),
    [("", "required"), ("x" * 301, "at most 300"), ("Seal\nSeal", "stands here twice")],
)
def test_a_list_that_cannot_be_is_refused(client, steps, words):
    as_manager(client)
    response = post(client, "office:checklist", KIND, steps=steps, seen=USUAL)
    assert response.status_code == 422
    assert words in response.content.decode()
    assert own_checklists() == {}


def test_an_old_page_is_a_conflict(client):
    as_manager(client)
    post(client, "office:checklist", KIND, steps="Seal the rim", seen=USUAL)
    assert post(client, "office:checklist", KIND, steps="Other", seen=USUAL).status_code == 409
    assert checklist_for(KIND) == ("Seal the rim",)


def test_in_whichever_language_the_usual_steps_kept_as_they_stand_are_no_own_list(
    client, settings, monkeypatch
):
    settings.LANGUAGE_CODE = "de"
    monkeypatch.setattr(wording, "_translate", lambda text: text.upper() if get_language() == "de" else text)
    as_manager(client)
    address = reverse("office:checklist", args=[KIND])
    shown = client.get(address, headers={"accept-language": "en-gb"}).context
    assert shown["form"]["steps"].value() == "\n".join(USUAL).upper()
    post(client, "office:checklist", KIND, steps=shown["form"]["steps"].value(), seen=shown["seen"])
    assert own_checklists() == {}
