"""A device that several people share at the bench: making it one, locking it, and changing over by a PIN."""

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import rotate_token
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from labcases.pages.addresses import own_address
from labcases.pages.answers import answer_form, once, page, status_of
from labcases.pages.entering import BENCH_COOKIE, CONFIRMED, bench_device_here
from labcases.pages.gates import for_laboratory
from labcases.pages.own_sign_in import confirmed
from labcases.pages.sign_in_forms import BenchDeviceForm, OwnPinForm, PinForm
from labcases.people.actions.bench_devices import (
    MOST_WRONG_TRIES,
    make_bench_device,
    pin_fits,
    remove_pin,
    set_aside,
    set_pin,
    take_up,
)
from labcases.people.models import BenchDevice, Session
from labcases.people.queries import pin_of, sessions_at
from labcases.people.sessions import BENCH, SessionStore

# Browsers keep a cookie no longer.
BENCH_COOKIE_AGE = 400 * 24 * 60 * 60


@require_POST
def lock(request: HttpRequest) -> HttpResponse:
    """Leave the device to the next one; what was typed and where is there again after unlocking."""
    if BENCH not in request.session:
        return redirect("home")
    lock_here(request, back=own_address(request.POST.get("back"), otherwise=reverse("home")))
    return redirect("at_the_bench")


def lock_here(request: HttpRequest, *, back: str) -> None:
    set_aside(request.session, back=back)
    # An empty session in its place: the browser is told to forget the key.
    request.session = SessionStore()
    request.user = AnonymousUser()


@sensitive_post_parameters("pin")
@require_http_methods(["GET", "HEAD", "POST"])
@login_not_required
def at_the_bench(request: HttpRequest) -> HttpResponse:
    """Who is at this device; a chosen name asks for its PIN."""
    device = bench_device_here(request)
    if device is None or request.user.is_authenticated:
        return redirect("home")
    rows = sessions_at(device, since=timezone.now() - settings.SESSION_LONGEST)
    asked = request.POST.get("person") or request.GET.get("person", "")
    row = next((row for row in rows if str(row.user_id) == asked and can_change_over(row)), None)
    if row is None:
        people = [{"user": row.user, "has_pin": can_change_over(row)} for row in rows]
        return page(request, "pages/bench_device/who.html", {"device": device, "people": people})
    return _pin_page(request, device, row)


def can_change_over(row: Session) -> bool:
    pin = getattr(row.user, "bench_pin", None)
    return pin is not None and pin.wrong_tries < MOST_WRONG_TRIES


def _pin_page(request: HttpRequest, device: BenchDevice, row: Session) -> HttpResponse:
    form = PinForm(request.POST or None)
    if form.is_valid():
        if pin_fits(row.user, pin=form.cleaned_data["pin"]):
            return _change_over(request, row)
        left = MOST_WRONG_TRIES - (found.wrong_tries if (found := pin_of(row.user)) else MOST_WRONG_TRIES)
        gone = _("This PIN is locked until you sign in fully, with your password.")
        wrong = ngettext(
            "This is not the PIN. One more try.", "This is not the PIN. {left} more tries.", left
        )
        form.add_error("pin", wrong.format(left=left) if left > 0 else gone)
    context = {"form": form, "device": device, "person": row.user}
    return page(request, "pages/bench_device/pin.html", context, status=status_of(form))


def _change_over(request: HttpRequest, row: Session) -> HttpResponse:
    taken = take_up(row, drop=(CONFIRMED,))
    if taken is None:
        return redirect("at_the_bench")
    request.session.flush()
    request.session, back = taken
    rotate_token(request)
    return redirect(back or "home")


@sensitive_post_parameters("pin", "repeated")
@require_http_methods(["GET", "HEAD", "POST"])
@for_laboratory
@confirmed
def own_pin(request: HttpRequest) -> HttpResponse:
    form = OwnPinForm(request.POST or None)

    def remove() -> str:
        remove_pin(request.user)
        messages.success(request, _("The PIN is removed."))
        return reverse("own_sign_in")

    def act() -> str:
        set_pin(request.user, pin=form.cleaned_data["pin"], now=timezone.now())
        messages.success(
            request, _("The PIN is set. It works at bench devices where you have signed in fully.")
        )
        return reverse("own_sign_in")

    if request.POST.get("which") == "remove":
        return once(request, remove)
    answer = answer_form(request, form, act)
    context = {"form": form, "pin": pin_of(request.user)}
    return answer or page(request, "pages/bench_device/own_pin.html", context, status=status_of(form))


@require_http_methods(["GET", "HEAD", "POST"])
@for_laboratory
@confirmed
def make_this_bench_device(request: HttpRequest) -> HttpResponse:
    form = BenchDeviceForm(request.POST or None)
    made: dict[str, Any] = {}

    def act() -> str:
        key, device = make_bench_device(name=form.cleaned_data["name"], by=request.user, now=timezone.now())
        made["key"] = key
        request.session[BENCH] = device.pk
        messages.success(
            request,
            _("This is now the bench device “{name}”. Lock it when you leave it.").format(name=device.name),
        )
        return reverse("own_sign_in")

    answer = answer_form(request, form, act)
    if answer is None:
        return page(request, "pages/bench_device/make.html", {"form": form}, status=status_of(form))
    if made:
        answer.set_cookie(
            BENCH_COOKIE,
            made["key"],
            max_age=BENCH_COOKIE_AGE,
            secure=settings.SESSION_COOKIE_SECURE,
            httponly=True,
            samesite="Lax",
        )
    return answer
