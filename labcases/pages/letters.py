"""Where an address in a letter leads: to one case, through the sign-in."""

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from labcases.pages.answers import page
from labcases.people.refusals import Refused
from labcases.post.actions.links import use_link
from labcases.post.models import CaseLink
from labcases.post.queries import link_by_token

GONE = 410


@require_http_methods(["GET", "HEAD", "POST"])
@login_not_required
def case_link(request: HttpRequest, token: str) -> HttpResponse:
    """Asks for a press of a button before it leads on: programs that look through mail open addresses by themselves.

    It signs nobody in. Whom it was written to and who is signed in already is led on as often as they like.
    """
    link = link_by_token(token)
    if link is None:
        raise Http404
    now = timezone.now()
    if request.user == link.person and request.method != "POST":
        return _to_case(link)
    if request.method == "POST":
        try:
            use_link(link, now=now)
        except Refused:
            return _gone(request)
        return _to_case(link)
    if link.used_at or link.expires_at <= now:
        return _gone(request)
    return page(request, "pages/letters/link.html", {"until": link.expires_at})


def _to_case(link: CaseLink) -> HttpResponse:
    return redirect(reverse("clinic:case", args=[link.case.number]))


def _gone(request: HttpRequest) -> HttpResponse:
    return page(request, "pages/letters/gone.html", {}, status=GONE)
