"""Setting up and removing one's own second step: an app's codes, passkeys, recovery codes."""

import io

import segno
from allauth.mfa.adapter import get_adapter
from allauth.mfa.totp.internal.auth import generate_totp_secret
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from labcases.pages.answers import answer_form, once, page, status_of
from labcases.pages.entering import SECOND
from labcases.pages.ids import read_id
from labcases.pages.own_sign_in import confirmed
from labcases.pages.proving import keep_new, question_for_new
from labcases.pages.sign_in_forms import AppForm, PasskeyForm
from labcases.people.actions.factors import add_app, new_recovery_codes, remove_factor
from labcases.people.actions.sessions import end_sessions

# In the session of whoever sets up: the app's secret until a code proved it, and recovery codes for the one page
# that shows them.
SECRET = "app_secret"
CODES = "recovery_codes"


@sensitive_post_parameters("code")
@require_http_methods(["GET", "HEAD", "POST"])
@confirmed
def own_app(request: HttpRequest) -> HttpResponse:
    secret = request.session.setdefault(SECRET, generate_totp_secret())
    form = AppForm(request.POST or None)

    def act() -> str:
        codes = add_app(request.user, secret=secret, code=form.cleaned_data["code"], now=timezone.now())
        del request.session[SECRET]
        messages.success(request, _("The app is set up. From now on you are asked for its code."))
        return _set_up(request, codes)

    answer = answer_form(request, form, act)
    context = {"form": form, "secret": _in_fours(secret)}
    return answer or page(request, "pages/sign_in/app.html", context, status=status_of(form))


@require_safe
@confirmed
def own_app_picture(request: HttpRequest) -> HttpResponse:
    """The secret as a QR code: a picture of this one answer, kept by nobody."""
    if SECRET not in request.session:
        return redirect("own_app")
    address = get_adapter().build_totp_url(request.user, request.session[SECRET])
    picture = io.BytesIO()
    segno.make(address, error="m", micro=False).save(picture, kind="svg", scale=5, border=4, light="#fff")
    return HttpResponse(picture.getvalue(), content_type="image/svg+xml")


@require_http_methods(["GET", "HEAD", "POST"])
@confirmed
def own_passkey(request: HttpRequest) -> HttpResponse:
    form = PasskeyForm(request.POST or None)

    def act() -> str:
        codes = keep_new(request, name=form.cleaned_data["name"], now=timezone.now())
        messages.success(request, _("The passkey is added. It also signs you in without the password."))
        return _set_up(request, codes)

    answer = answer_form(request, form, act)
    if answer:
        return answer
    context = {"form": form, "question": question_for_new(request.user)}
    return page(request, "pages/sign_in/passkey_new.html", context, status=status_of(form))


@require_POST
@confirmed
def remove_own_factor(request: HttpRequest) -> HttpResponse:
    pk = read_id(request.POST.get("factor", "")) or 0

    def act() -> str:
        is_needed = request.user.role in settings.SECOND_FACTOR_FOR
        remove_factor(request.user, pk=pk, is_needed=is_needed)
        messages.success(request, _("It is removed."))
        return reverse("own_sign_in")

    return once(request, act)


@require_http_methods(["GET", "HEAD", "POST"])
@confirmed
def own_codes(request: HttpRequest) -> HttpResponse:
    """Makes new recovery codes, and shows those just made, this once."""

    def act() -> str:
        request.session[CODES] = new_recovery_codes(request.user)
        return reverse("own_codes")

    if request.method == "POST":
        return once(request, act)
    codes = request.session.get(CODES)
    if codes is None:
        return redirect("own_sign_in")
    if request.method == "GET":
        del request.session[CODES]
    return page(request, "pages/sign_in/codes.html", {"codes": [_in_halves(code) for code in codes]})


def _set_up(request: HttpRequest, codes: list[str]) -> str:
    """A factor was added in this session, which thereby has one; others have to come in by it."""
    request.session[SECOND] = True
    end_sessions(of=request.user, besides=request.session.session_key or "")
    if not codes:
        return reverse("own_sign_in")
    request.session[CODES] = codes
    return reverse("own_codes")


def _in_fours(secret: str) -> str:
    return " ".join(secret[n : n + 4] for n in range(0, len(secret), 4))


def _in_halves(code: str) -> str:
    return f"{code[: len(code) // 2]} {code[len(code) // 2 :]}"
