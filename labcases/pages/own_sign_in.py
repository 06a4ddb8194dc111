"""Everybody's own sign-in: where they are signed in, and how they prove who they are."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from labcases.pages.addresses import own_address
from labcases.pages.answers import answer_form, once, page, status_of
from labcases.pages.devices import in_words
from labcases.pages.entering import CONFIRMED, address_of, too_many
from labcases.pages.sign_in_forms import ConfirmForm, NewPasswordForm
from labcases.people.access import may_work_at_bench
from labcases.people.actions import staff
from labcases.people.actions.sessions import end_session, end_sessions
from labcases.people.actions.sign_in import begin_sign_in, sign_in_succeeded
from labcases.people.queries import factors_of, pin_of, sessions_of
from labcases.people.sessions import handle_of

View = Callable[..., HttpResponse]
# How long a proof of who somebody is holds for changing how they prove it.
CONFIRMED_FOR_SECONDS = 15 * 60


def is_confirmed(request: HttpRequest) -> bool:
    return timezone.now().timestamp() - request.session.get(CONFIRMED, 0) < CONFIRMED_FOR_SECONDS


def confirmed(view: View) -> View:
    """A gate: whoever finds a signed-in browser must not be able to change how its owner signs in."""

    @wraps(view)
    def gated(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if is_confirmed(request):
            return view(request, *args, **kwargs)
        back = request.path if request.method in ("GET", "HEAD") else reverse("own_sign_in")
        return redirect(f"{reverse('confirm')}?{urlencode({'next': back})}")

    return gated


@require_safe
def own_sign_in(request: HttpRequest) -> HttpResponse:
    now, here = timezone.now(), request.session.session_key
    sessions = [
        {"row": row, "device": in_words(row.device), "handle": handle_of(row.pk), "is_here": row.pk == here}
        for row in sessions_of(request.user, now=now)
    ]
    sessions.sort(key=lambda each: not each["is_here"])
    context = {
        "sessions": sessions,
        "factors": factors_of(request.user),
        "pin": pin_of(request.user),
        "at_bench": may_work_at_bench(request.user),
        "is_needed": request.user.role in settings.SECOND_FACTOR_FOR,
        # Each by its own name, for whoever reads no other.
        "languages": settings.LANGUAGES,
    }
    return page(request, "pages/sign_in/own.html", context)


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def confirm(request: HttpRequest) -> HttpResponse:
    now = timezone.now()
    back = own_address(request.POST.get("next") or request.GET.get("next"), otherwise=reverse("own_sign_in"))
    if request.method == "POST" and request.POST.get("password"):
        name, address = request.user.username, address_of(request)
        again_at = begin_sign_in(name=name, address=address, now=now)
        if again_at:
            return too_many(request, again_at, now)
    form = ConfirmForm(request.POST or None, user=request.user)
    if form.is_valid():
        sign_in_succeeded(name=request.user.username, address=address_of(request))
        request.session[CONFIRMED] = now.timestamp()
        return redirect(back)
    return page(request, "pages/sign_in/confirm.html", {"form": form, "next": back}, status=status_of(form))


@sensitive_post_parameters("new_password", "repeated")
@require_http_methods(["GET", "HEAD", "POST"])
@confirmed
def own_password(request: HttpRequest) -> HttpResponse:
    form = NewPasswordForm(request.POST or None, user=request.user)

    def act() -> str:
        change_own_password(request, form.cleaned_data["new_password"])
        messages.success(request, _("The new password is set. You are signed out everywhere else."))
        return reverse("own_sign_in")

    answer = answer_form(request, form, act)
    return answer or page(request, "pages/sign_in/password.html", {"form": form}, status=status_of(form))


def change_own_password(request: HttpRequest, password: str) -> None:
    """Set it and stay signed in here, under a new key; every other session ends."""
    user, here = request.user, request.session.session_key or ""
    staff.set_password(user, password=password, by=user, session_key=here)
    update_session_auth_hash(request, user)


@require_POST
def end_own_session(request: HttpRequest) -> HttpResponse:
    """One session by its handle, or all but this one."""

    def act() -> str:
        if request.POST.get("which") == "others":
            count = end_sessions(of=request.user, besides=request.session.session_key or "")
            messages.success(request, _("Ended: {count}. You are signed in here alone.").format(count=count))
        else:
            end_session(handle=request.POST.get("session", ""), of=request.user)
            messages.success(request, _("The session has ended."))
        return reverse("own_sign_in")

    return once(request, act)


@require_POST
def still_here(request: HttpRequest) -> HttpResponse:
    """Somebody is typing: the middleware has noted it, and nothing else happens."""
    return HttpResponse(status=204)
