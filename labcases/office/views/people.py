"""The people who work with the laboratory's cases."""

import datetime
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from labcases.cases.actions.completeness import settle_incomplete_cases
from labcases.office.forms.people import PersonForm
from labcases.pages.answers import answer_form, once, page, status_of
from labcases.pages.gates import for_managers, version_seen
from labcases.pages.own_sign_in import change_own_password
from labcases.people.actions.factors import reset_factors
from labcases.people.actions.links import make_link
from labcases.people.actions.staff import add_person, change_person, set_password
from labcases.people.choices import Role
from labcases.people.queries import everyone, has_second_factor, person_by_id

# A link that was just made waits here, in the maker's session, for the one page that shows it.
NEW_LINK = "new_link"


@require_safe
@for_managers
def people(request: HttpRequest) -> HttpResponse:
    found = list(everyone())
    names = {
        Role.MANAGER: _("Lab managers"),
        Role.TECHNICIAN: _("Technicians"),
        Role.CLINICIAN: _("Clinicians"),
    }
    roles = [
        (names[role], [person for person in found if person.role == role and person.is_active])
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
        messages.success(request, _("{name} is added.").format(name=person.display_name))
        if given["password"]:
            return reverse("office:people")
        return reverse("office:person", args=[person.pk])

    answer = answer_form(request, form, act)
    return answer or page(request, "office/person.html", {"form": form}, status=status_of(form))


@require_http_methods(["GET", "HEAD", "POST"])
@for_managers
def person(request: HttpRequest, pk: int) -> HttpResponse:
    someone = _person_or_404(pk)
    form = PersonForm(request.POST or None, by=request.user, person=someone)

    def act() -> str:
        version = version_seen(request)
        change_person(someone, by=request.user, expected_version=version, **form.changes)
        settle_incomplete_cases()
        if form.cleaned_data["password"]:
            _give_password(request, someone, form.cleaned_data["password"])
        messages.success(request, _("{name} is changed.").format(name=form.cleaned_data["display_name"]))
        return reverse("office:people")

    answer = answer_form(request, form, act)
    if answer:
        return answer
    context = {
        "form": form,
        "person": someone,
        "version": request.POST.get("version") or someone.version,
        "link": _link_just_made(request, someone),
        "has_second_step": has_second_factor(someone),
    }
    return page(request, "office/person.html", context, status=status_of(form))


def _give_password(request: HttpRequest, someone: Any, password: str) -> None:
    if someone.pk == request.user.pk:
        change_own_password(request, password)
    else:
        set_password(someone, password=password, by=request.user)


@require_POST
@for_managers
def person_link(request: HttpRequest, pk: int) -> HttpResponse:
    """Make the address by which this person sets a password; the next page shows it, once."""
    someone = _person_or_404(pk)

    def act() -> str:
        key, link = make_link(someone, by=request.user, now=timezone.now())
        address = settings.PUBLIC_URL + reverse("set_password", args=[key])
        until = link.expires_at.isoformat()
        request.session[NEW_LINK] = {"person": someone.pk, "address": address, "until": until}
        return reverse("office:person", args=[pk])

    return once(request, act)


@require_POST
@for_managers
def person_factors(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the second step from somebody who lost the phone or the key."""
    someone = _person_or_404(pk)

    def act() -> str:
        reset_factors(someone, by=request.user)
        words = _("{name} now signs in by the password alone.")
        messages.success(request, words.format(name=someone.display_name))
        return reverse("office:person", args=[pk])

    return once(request, act)


def _person_or_404(pk: int) -> Any:
    someone = person_by_id(pk)
    if someone is None:
        raise Http404
    return someone


def _link_just_made(request: HttpRequest, someone: Any) -> dict[str, Any] | None:
    made = request.session.get(NEW_LINK)
    if made is None or made["person"] != someone.pk:
        return None
    del request.session[NEW_LINK]
    return made | {"until": datetime.datetime.fromisoformat(made["until"])}
