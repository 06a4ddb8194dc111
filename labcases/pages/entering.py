"""The door: signing in, the step after the password, signing out, and the links by which a password is set."""

import datetime
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth import views as auth_views
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from labcases.pages.answers import page, status_of
from labcases.pages.devices import described
from labcases.pages.sign_in_forms import NewPasswordForm
from labcases.people.actions.links import GONE, set_password_by_link
from labcases.people.actions.sign_in import begin_sign_in, sign_in_succeeded
from labcases.people.models import User
from labcases.people.queries import open_link
from labcases.people.refusals import Refused
from labcases.people.sessions import DEVICE

BACKEND = "django.contrib.auth.backends.ModelBackend"
# In a session: when its person last proved who they are, and why the session before it ended.
CONFIRMED = "confirmed_at"
ENDED = "ended"


class SignIn(auth_views.LoginView):
    template_name = "pages/sign_in.html"
    redirect_authenticated_user = True

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        name, now = request.POST.get("username", ""), timezone.now()
        if not name.strip() or not request.POST.get("password"):
            return super().post(request, *args, **kwargs)
        again_at = begin_sign_in(name=name, address=address_of(request), now=now)
        return too_many(request, again_at, now) if again_at else super().post(request, *args, **kwargs)

    def form_valid(self, form: Any) -> HttpResponse:
        sign_in_succeeded(name=self.request.POST["username"], address=address_of(self.request))
        leads_to = self.get_success_url()
        enter(self.request, form.get_user(), now=timezone.now())
        return redirect(leads_to)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        ended = self.request.session.get(ENDED, "")
        return {**super().get_context_data(**kwargs), "ended": ended}


class SignOut(auth_views.LogoutView):
    pass


def enter(request: HttpRequest, user: User, *, now: datetime.datetime) -> None:
    """Sign somebody in who has proved who they are."""
    request.session.pop(ENDED, None)
    login(request, user, backend=BACKEND)
    request.session[DEVICE] = described(request.headers.get("User-Agent", ""))
    request.session[CONFIRMED] = now.timestamp()


@sensitive_post_parameters("new_password", "repeated")
@require_http_methods(["GET", "HEAD", "POST"])
@login_not_required
def set_password(request: HttpRequest, key: str) -> HttpResponse:
    """Where an invitation or a reset link leads. It signs nobody in: the door does, with all that it asks for."""
    now = timezone.now()
    link = open_link(key, now=now)
    if link is None:
        return page(request, "pages/sign_in/link_gone.html", {"words": GONE}, status=404)
    if request.method == "POST":
        again_at = begin_sign_in(name=f"link {key}", address=address_of(request), now=now)
        if again_at:
            return too_many(request, again_at, now)
    form = NewPasswordForm(request.POST or None, user=link.user)
    if form.is_valid() and _taken(request, form, key, now):
        messages.success(request, f"The password is set. Sign in as {link.user.username}.")
        return redirect("sign_in")
    context = {"form": form, "person": link.user}
    return page(request, "pages/sign_in/set_password.html", context, status=status_of(form))


def _taken(request: HttpRequest, form: NewPasswordForm, key: str, now: datetime.datetime) -> bool:
    try:
        set_password_by_link(key=key, password=form.cleaned_data["new_password"], now=now)
    except (Refused, ValidationError) as refusal:
        form.add_error(None, refusal.message if isinstance(refusal, Refused) else refusal)
        return False
    sign_in_succeeded(name=f"link {key}", address=address_of(request))
    return True


def address_of(request: HttpRequest) -> str:
    """Where the request comes from: the last address that a server of our own wrote down, never one before it."""
    written = [each.strip() for each in request.headers.get("X-Forwarded-For", "").split(",")]
    proxies = settings.PROXIES
    if proxies and len(written) >= proxies and written[-proxies]:
        return written[-proxies]
    return request.META.get("REMOTE_ADDR", "")


def too_many(request: HttpRequest, again_at: datetime.datetime, now: datetime.datetime) -> HttpResponse:
    # A minute on, since the page names no seconds.
    shown = again_at + datetime.timedelta(minutes=1)
    response = page(request, "pages/429.html", {"again_at": shown}, status=429)
    response.headers["Retry-After"] = str(int((again_at - now).total_seconds()) + 1)
    return response
