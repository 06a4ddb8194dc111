"""Calendar feeds: the address that a calendar program reads, and making or revoking it."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from labcases.pages.answers import once, page
from labcases.planning.actions.feeds import make_feed, revoke_feed
from labcases.planning.queries.feeds import feed_by_token, feed_of, feed_text, owner_for


@require_safe
@login_not_required
def calendar_feed(request: HttpRequest, token: str) -> HttpResponse:
    """The feed itself. Its address is the key; a wrong or revoked one is as unknown as any other."""
    feed = feed_by_token(token)
    if feed is None:
        raise Http404
    text = feed_text(feed, now=timezone.now())
    headers = {"Content-Disposition": 'inline; filename="laboratory.ics"', "X-Robots-Tag": "noindex"}
    return HttpResponse(text, content_type="text/calendar; charset=utf-8", headers=headers)


@require_http_methods(["GET", "HEAD", "POST"])
def my_calendar(request: HttpRequest) -> HttpResponse:
    """Everybody's own feed: a person's at the bench, a practice's for its clinicians."""
    owner = owner_for(request.user)

    def act() -> str:
        if request.POST.get("which") == "revoke":
            revoke_feed(of=owner, by=request.user, now=timezone.now())
            messages.success(request, _("The address does not work any more."))
        else:
            make_feed(of=owner, by=request.user, now=timezone.now())
            messages.success(request, _("The new address works from now on; an older one does not."))
        return reverse("my_calendar")

    if request.method == "POST":
        return once(request, act)
    feed = feed_of(owner)
    address = settings.PUBLIC_URL + reverse("calendar_feed", args=[feed.token]) if feed else ""
    context = {"feed": feed, "address": address, "is_practice": request.user.is_clinician}
    return page(request, "pages/planning/my_calendar.html", context)
