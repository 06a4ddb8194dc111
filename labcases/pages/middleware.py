"""Headers on every answer, and a page for every refusal."""

import datetime
from collections.abc import Callable

from django.conf import settings
from django.contrib.auth import SESSION_KEY, logout
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from labcases.pages.at_the_bench import lock_here
from labcases.pages.entering import ENDED, SECOND
from labcases.pages.refusing import refusal_page
from labcases.pages.space import is_out_of_space, out_of_space
from labcases.people.actions.once import earlier_answer
from labcases.people.actions.sessions import still_here
from labcases.people.queries import has_second_factor
from labcases.people.refusals import Refused
from labcases.people.rules import Limits, ending_of
from labcases.people.sessions import BENCH, SessionStore

# What a page answers that found nothing to do: gone, no longer so, not possible any more.
LEFT_UNDONE = (404, 409, 422)
# How closely it is noted when somebody was last here: a write at every page would be too dear.
SEEN_EVERY = datetime.timedelta(minutes=1)
Answer = Callable[[HttpRequest], HttpResponse]

CONTENT_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self'",
        "font-src 'self'",
        "connect-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
        "manifest-src 'self'",
    )
)


def page_headers(get_response: Answer) -> Answer:
    def answer(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", CONTENT_POLICY)
        response.headers.setdefault("Permissions-Policy", "camera=(self), geolocation=(), microphone=()")
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        # Django's own middleware sets it too late for files, strange hosts and the way to TLS.
        response.headers.setdefault("X-Frame-Options", "DENY")
        # Also keeps a signed-out browser's Back button from showing a case.
        response.headers.setdefault("Cache-Control", "no-store")
        return response

    return answer


def second_sending(get_response: Answer) -> Answer:
    """A form sent twice leads to its first answer, also where the first sending left nothing to do for the second."""

    def answer(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        if request.method != "POST" or response.status_code not in LEFT_UNDONE:
            return response
        key = request.POST.get("one_time_key", "")
        if not key or not request.user.is_authenticated:
            return response
        first = earlier_answer(key=key, user=request.user)
        return redirect(first) if first else response

    return answer


def session_limits(get_response: Answer) -> Answer:
    """Ends a session that lay idle or lasted too long, before anybody is taken for its owner."""
    limits = Limits(idle=settings.SESSION_IDLE, longest=settings.SESSION_LONGEST)

    def answer(request: HttpRequest) -> HttpResponse:
        if SESSION_KEY in request.session and (row := request.session.row):
            now = timezone.now()
            ending = ending_of(began_at=row.began_at, seen_at=row.seen_at, now=now, limits=limits)
            if row.is_locked:
                request.session = SessionStore()
            elif ending == "idle" and BENCH in request.session:
                lock_here(request, back=_address_to_come_back_to(request))
                return redirect("at_the_bench")
            elif ending:
                request.session.flush()
                request.session[ENDED] = ending
            elif now - row.seen_at >= SEEN_EVERY:
                still_here(session_key=row.pk, now=now)
        return get_response(request)

    return answer


def _address_to_come_back_to(request: HttpRequest) -> str:
    return request.get_full_path() if request.method == "GET" else reverse("home")


class SecondFactorNeeded:
    """Leads whoever must have a second step, and has none, to setting one up before anything else."""

    # What it takes to set one up, or to leave.
    STILL_OPEN = frozenset(
        ("own_sign_in", "confirm", "own_app", "own_app_picture", "own_passkey", "own_codes", "sign_out")
    )

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: object, *_: object) -> HttpResponse | None:
        user = request.user
        if not user.is_authenticated or user.role not in settings.SECOND_FACTOR_FOR:
            return None
        if request.session.get(SECOND) or not getattr(view, "login_required", True):
            return None
        if has_second_factor(user):
            # Signed in before it was set up or asked for: once more, with it.
            logout(request)
            return redirect_to_login(request.get_full_path())
        is_open = request.resolver_match.view_name in self.STILL_OPEN
        return None if is_open else redirect("own_sign_in")


class RefusalPages:
    """Turns an action's refusal into its page: conflict 409, not allowed 403, anything else refused 422.

    A disk without room has its page too, 507.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        if is_out_of_space(exception):
            return out_of_space(request)
        return refusal_page(request, exception) if isinstance(exception, Refused) else None
