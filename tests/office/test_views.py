"""Saved views of the list of cases."""

import pytest
from django.urls import reverse

from labcases.people.actions.lists import MOST_VIEWS
from labcases.people.models import SavedView
from tests.factories.people import ManagerFactory, SavedViewFactory
from tests.office.desk import as_manager, post, refused_to_everybody_else

pytestmark = pytest.mark.django_db
CASES = reverse("office:cases")


def save(client, name, **changes):
    data = {"name": name, "shared_with": "me", "filters": "q=ELM&late=on&state=all&stage=nothing"}
    return post(client, "office:save_view", **(data | changes))


def names(client):
    return [view.name for view, _, _ in client.get(CASES, {"state": ""}).context["views"]]


@pytest.mark.parametrize("name", ["save_view", "views"])
def test_only_managers_have_them(client, name):
    assert refused_to_everybody_else(client, f"office:{name}")


def test_a_list_is_kept_with_the_filters_that_filter_and_its_columns(client):
    as_manager(client)
    answer = save(client, "Late at Elm", column=["kind", "due", "kind"])
    view = SavedView.objects.get()
    assert view.filters == {"q": "ELM", "late": "on", "state": "all"}
    assert view.columns == ["kind", "due", "kind"]
    shown = client.get(answer["Location"])
    assert shown.context["view_here"] == view
    assert [column.name for column in shown.context["columns"]] == ["kind", "due"]
    assert '<input type="checkbox" name="late" id="id_late" checked>' in shown.content.decode()


def test_cases_opens_with_ones_own_first_view_before_the_roles_and_the_laboratorys(client):
    manager = as_manager(client)
    assert client.get(CASES).status_code == 200
    shared = SavedViewFactory(owner=None, is_default=True)
    of_role = SavedViewFactory(owner=None, role="manager", is_default=True)
    SavedViewFactory(owner=None, role="technician", is_default=True)
    SavedViewFactory(is_default=True)
    assert f"view={of_role.pk}" in client.get(CASES)["Location"]
    save(client, "Mine", comes_first="on")
    own = manager.saved_views.get()
    assert f"view={own.pk}" in client.get(CASES)["Location"]
    assert names(client) == ["Mine", of_role.name, shared.name]
    save(client, "Also mine", comes_first="on")
    own.refresh_from_db()
    assert not own.is_default


def test_a_name_is_given_once(client):
    as_manager(client)
    save(client, "Late")
    answer = save(client, " late ")
    assert answer.status_code == 422
    assert "There is a saved view “late” already." in answer.content.decode()
    assert save(client, "").status_code == 422
    assert save(client, "Late", shared_with="everybody").status_code == 302
    assert save(client, "Other", shared_with="clinician").status_code == 422


def test_a_person_keeps_thirty_views_and_no_more_whatever_others_keep(client):
    """Nor does a view that others saw come to a full shelf by being kept for oneself."""
    manager = as_manager(client)
    SavedViewFactory.create_batch(MOST_VIEWS - 1, owner=manager)
    SavedViewFactory.create_batch(2, owner=ManagerFactory())
    assert save(client, "The last that fits").status_code == 302
    answer = save(client, "One too many")
    assert answer.status_code == 422
    assert "There are 30 saved views already." in answer.content.decode()
    assert save(client, "For all", shared_with="everybody").status_code == 302
    shared = SavedView.objects.get(owner=None)
    form = {"name": "For me", "shared_with": "me", "version": shared.version}
    assert post(client, "office:view", shared.pk, **form).status_code == 422
    assert SavedView.objects.filter(owner=manager).count() == MOST_VIEWS
    SavedView.objects.filter(owner=manager).first().delete()
    assert post(client, "office:view", shared.pk, **form, key="again").status_code == 302


def test_views_change_places_among_those_of_the_same_people(client):
    as_manager(client)
    for name in ("One", "Two", "Three"):
        save(client, name)
    last = SavedView.objects.get(name="Three")
    for _ in range(3):
        last.refresh_from_db()
        post(client, "office:move_view", last.pk, version=last.version, way="earlier")
    assert names(client) == ["Three", "One", "Two"]
    old = post(client, "office:move_view", last.pk, version=last.version, way="later")
    assert old.status_code == 409
    assert post(client, "office:move_view", last.pk, version=last.version, way="up").status_code == 422


def test_a_view_is_renamed_shared_and_removed(client):
    as_manager(client)
    save(client, "Mine")
    view = SavedView.objects.get()
    change = {"version": view.version, "name": "Ours", "shared_with": "everybody"}
    assert post(client, "office:view", view.pk, **change).status_code == 302
    assert post(client, "office:view", view.pk, **change).status_code == 409
    view.refresh_from_db()
    assert (view.name, view.owner, view.whose) == ("Ours", None, "The whole laboratory")
    as_manager(client)
    assert names(client) == ["Ours"]
    assert post(client, "office:remove_view", view.pk, version=1).status_code == 409
    assert post(client, "office:remove_view", view.pk, version=view.version).status_code == 302
    assert names(client) == []


def test_somebody_elses_own_view_is_not_there(client):
    view = SavedViewFactory(owner=ManagerFactory())
    as_manager(client)
    assert client.get(reverse("office:view", args=[view.pk])).status_code == 404
    assert client.get(reverse("office:view", args=[10**18])).status_code == 404
    assert post(client, "office:remove_view", view.pk, version=1).status_code == 404
