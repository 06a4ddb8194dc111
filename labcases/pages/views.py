"""The pages that belong to no one audience: the door, the way home, the scan box."""

from django.contrib.auth import views as auth_views
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_GET

from labcases.cases.models import Case
from labcases.pages.answers import page
from labcases.pages.prescription import guidance_for
from labcases.people.choices import Role
from labcases.people.models import User

HOMES = {Role.MANAGER: "office:today", Role.TECHNICIAN: "bench:work", Role.CLINICIAN: "clinic:cases"}


class SignIn(auth_views.LoginView):
    template_name = "pages/sign_in.html"
    redirect_authenticated_user = True


class SignOut(auth_views.LogoutView):
    pass


@require_GET
def home(request: HttpRequest) -> HttpResponse:
    return redirect(HOMES[Role(request.user.role)])


def case_address(user: User, case: Case) -> str:
    """Where this person sees this case."""
    room = "clinic" if user.is_clinician else "office" if user.is_manager else "bench"
    return reverse(f"{room}:case", args=[case.number])


@require_GET
def display_guidance(request: HttpRequest) -> HttpResponse:
    """What publications say about display at rest, for the age, sex and lip that a prescription names so far."""
    guidance = guidance_for(
        age=request.GET.get("patient_age"),
        sex=request.GET.get("patient_sex"),
        lip_length=request.GET.get("figure_upper_lip_length"),
    )
    template, fragment = "pages/prescription/guidance.html", "pages/prescription/_guidance.html"
    return page(request, template, {"guidance": guidance}, fragment=fragment)
