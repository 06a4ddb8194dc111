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
from django.utils.crypto import constant_time_compare
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from labcases.pages.addresses import own_address
from labcases.pages.answers import page, status_of
from labcases.pages.devices import described
from labcases.pages.proving import proved, question
from labcases.pages.sign_in_forms import NewPasswordForm, SecondStepForm
from labcases.people.access import may_work_at_bench
from labcases.people.actions.bench_devices import carried_over, pin_starts_anew
from labcases.people.actions.factors import take_code
from labcases.people.actions.links import GONE, set_password_by_link
from labcases.people.actions.sign_in import begin_sign_in, sign_in_succeeded
from labcases.people.models import BenchDevice, User
from labcases.people.queries import bench_device, factors_of, has_second_factor, open_link, person_by_id
from labcases.people.refusals import Refused
from labcases.people.sessions import BACK, BENCH, DEVICE

BACKEND = "django.contrib.auth.backends.ModelBackend"
# In a session: when its person last proved who they are, and why the session before it ended.
CONFIRMED = "confirmed_at"
ENDED = "ended"
# The key of a shared device at the bench, which its browser keeps.
BENCH_COOKIE = "bench_device"
# Whether it took more than the password to come in, and whose second step is awaited.
SECOND = "second_step"
AWAITED = "awaited"
SECOND_STEP_SECONDS = 10 * 60


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
        user, leads_to = form.get_user(), self.get_redirect_url()
        if has_second_factor(user):
            await_second_step(self.request, user, leads_to=leads_to, now=timezone.now())
            return redirect("second_step")
        back = enter(self.request, user, second=False, now=timezone.now())
        return redirect(leads_to or back or "home")

    def get_redirect_url(self) -> str:
        return own_address(super().get_redirect_url(), otherwise="")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        ended = self.request.session.get(ENDED, "")
        return {
            **super().get_context_data(**kwargs),
            "ended": ended,
            "is_bench_device": bench_device_here(self.request) is not None,
        }


class SignOut(auth_views.LogoutView):
    pass


def await_second_step(request: HttpRequest, user: User, *, leads_to: str, now: datetime.datetime) -> None:
    """The password was right: remember for whom, without letting anybody in."""
    request.session.cycle_key()
    request.session[AWAITED] = {
        "user": user.pk,
        "password": user.get_session_auth_hash(),
        "at": now.timestamp(),
        "leads_to": leads_to,
    }


def awaited(request: HttpRequest, *, now: datetime.datetime) -> User | None:
    """Whose second step this browser is at: for ten minutes, and not after the password changed or its owner left."""
    found = request.session.get(AWAITED)
    if not found or now.timestamp() - found["at"] > SECOND_STEP_SECONDS:
        return None
    user = person_by_id(found["user"])
    if user is None or not user.is_active:
        return None
    return user if constant_time_compare(found["password"], user.get_session_auth_hash()) else None


@sensitive_post_parameters("code", "passkey")
@require_http_methods(["GET", "HEAD", "POST"])
@login_not_required
def second_step(request: HttpRequest) -> HttpResponse:
    """What comes after the password for whoever has set a second step up."""
    now = timezone.now()
    user = awaited(request, now=now)
    if user is None:
        return redirect("sign_in")
    form = SecondStepForm(request.POST or None, is_needed="passkey" not in request.POST)
    if form.is_valid():
        name, address = f"second step of {user.pk}", address_of(request)
        if again_at := begin_sign_in(name=name, address=address, now=now):
            return too_many(request, again_at, now)
        if _second_step_taken(request, form, user, now):
            sign_in_succeeded(name=name, address=address)
            leads_to = request.session[AWAITED]["leads_to"]
            back = enter(request, user, second=True, now=now)
            return redirect(leads_to or back or "home")
    factors = factors_of(user)
    context = {"form": form, "factors": factors, "question": question(user) if factors.passkeys else ""}
    return page(request, "pages/sign_in/second_step.html", context, status=status_of(form))


def _second_step_taken(
    request: HttpRequest, form: SecondStepForm, user: User, now: datetime.datetime
) -> bool:
    try:
        if "passkey" in request.POST:
            proved(request, user=user, now=now)
            return True
        taken = take_code(user, code=form.cleaned_data["code"], now=now)
    except Refused as refusal:
        form.add_error(None, refusal.message)
        return False
    if taken == "recovery":
        left = factors_of(user).codes_left
        messages.warning(request, _("A recovery code is used up; {left} are left.").format(left=left))
    if not taken:
        form.add_error(
            "code", _("This code does not fit, or it was used already. An app’s next code comes soon.")
        )
    return bool(taken)


@sensitive_post_parameters("passkey")
@require_http_methods(["GET", "HEAD", "POST"])
@login_not_required
def sign_in_by_passkey(request: HttpRequest) -> HttpResponse:
    """In one step: a passkey is kept by a device and opened by its owner, so it stands for both."""
    now = timezone.now()
    if request.user.is_authenticated:
        return redirect("home")
    leads_to = own_address(request.POST.get("next") or request.GET.get("next"), otherwise="")
    form = SecondStepForm(request.POST or None, is_needed=False)
    if form.is_valid():
        try:
            user = proved(request, now=now)
        except Refused as refusal:
            form.add_error(None, refusal.message)
        else:
            back = enter(request, user, second=True, now=now)
            return redirect(leads_to or back or "home")
    context = {"form": form, "question": question(), "next": leads_to}
    return page(request, "pages/sign_in/passkey.html", context, status=status_of(form))


def bench_device_here(request: HttpRequest) -> BenchDevice | None:
    key = request.COOKIES.get(BENCH_COOKIE, "")
    return bench_device(key) if key else None


def enter(request: HttpRequest, user: User, *, second: bool, now: datetime.datetime) -> str:
    """Sign somebody in who has proved who they are; `second` says that it took more than the password.

    Returns where they were before, if it was at this bench device and is set aside here; else "".
    """
    device = bench_device_here(request) if may_work_at_bench(user) else None
    carried = carried_over(user, device=device) if device else {}
    pin_starts_anew(user)
    for name in (ENDED, AWAITED):
        request.session.pop(name, None)
    login(request, user, backend=BACKEND)
    back: str = carried.pop(BACK, "")
    request.session.update(carried)
    request.session[DEVICE] = described(request.headers.get("User-Agent", ""))
    request.session[CONFIRMED] = now.timestamp()
    request.session[SECOND] = second
    if device:
        request.session[BENCH] = device.pk
    return back


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
        messages.success(
            request, _("The password is set. Sign in as {name}.").format(name=link.user.username)
        )
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
