import pytest
from django.urls import reverse

from tests.factories.cases import ChecklistStepFactory
from tests.office.desk import as_manager, refused_to_everybody_else

pytestmark = pytest.mark.django_db


def test_only_managers_see_it(client):
    assert refused_to_everybody_else(client, "office:checklists")


def test_it_says_which_lists_are_the_laboratorys_own(client):
    as_manager(client)
    ChecklistStepFactory(stage_kind="occlusion_rims")
    response = client.get(reverse("office:checklists"))
    rows = {row["kind"]: (row["own"], row["count"]) for _, rows in response.context["places"] for row in rows}
    assert rows["occlusion_rims"] == (True, 1)
    assert rows["custom_tray"][0] is False
    assert rows["custom_tray"][1] > 5


def test_the_page_asks_the_database_little(client, django_assert_num_queries):
    as_manager(client)
    with django_assert_num_queries(3):
        client.get(reverse("office:checklists"))
