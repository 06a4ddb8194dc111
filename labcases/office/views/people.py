"""The people who work with the laboratory's cases."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from labcases.cases.actions.completeness import settle_incomplete_cases
from labcases.office.forms.people import PersonForm
from labcases.pages.answers import answer_form, page, status_of
from labcases.pages.gates import for_managers, version_seen
from labcases.people.actions.staff import add_person, change_person, set_password
from labcases.people.choices import Role
from labcases.people.queries import everyone, person_by_id


@require_safe
@for_managers
def people(request: HttpRequest) -> HttpResponse:
    found = list(everyone())
    roles = [
        (role.label, [person for person in found if person.role == role and person.is_active])
        for role in Role
    ]
    left = [person for person in found if not person.is_active]
    return page(request, "office/people.html", {"roles": roles, "left": left})


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def person_new(request: HttpRequest) -> HttpResponse:
    form = PersonForm(request.POST or None, by=request.user)

    def act() -> str:
        given = form.cleaned_data
        person = add_person(**(given | {"password": given["password"] or None}), by=request.user)
        messages.success(request, f"{person.display_name} is added.")
        return reverse("office:people")

    answer = answer_form(request, form, act)
    return answer or page(request, "office/person.html", {"form": form}, status=status_of(form))


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def person(request: HttpRequest, pk: int) -> HttpResponse:
    someone: Any = person_by_id(pk)
    if someone is None:
        raise Http404
    form = PersonForm(request.POST or None, by=request.user, person=someone)

    def act() -> str:
        version = version_seen(request)
        change_person(someone, by=request.user, expected_version=version, **form.changes)
        settle_incomplete_cases()
        if form.cleaned_data["password"]:
            set_password(someone, password=form.cleaned_data["password"], by=request.user)
        messages.success(request, f"{form.cleaned_data['display_name']} is changed.")
        return reverse("office:people")

    answer = answer_form(request, form, act)
    context = {"form": form, "person": someone, "version": request.POST.get("version") or someone.version}
    return answer or page(request, "office/person.html", context, status=status_of(form))
