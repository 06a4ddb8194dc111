"""Addresses that a form or a link carries: to a page of this site, and nowhere else."""

from django.http import HttpRequest
from django.utils.http import url_has_allowed_host_and_scheme

# As much as the answer to a form is kept with, so that sending it again leads to the same page.
LONGEST_BACK = 400


def own_address(asked: str | None, *, otherwise: str) -> str:
    """The address asked for if it is one of this site. A bare word is none: it would be taken for a route's name."""
    own = asked and asked.startswith("/") and asked.isprintable()
    return asked if own and url_has_allowed_host_and_scheme(asked, allowed_hosts=None) else otherwise


def back_to(request: HttpRequest, otherwise: str) -> str:
    """The page of this site that the form came from."""
    asked = request.POST.get("back", "")
    return own_address(asked if len(asked) <= LONGEST_BACK else None, otherwise=otherwise)
