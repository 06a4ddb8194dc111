"""Addresses that a form carries: back to the page that it came from, and nowhere else."""

from typing import Any

from django.http import HttpRequest
from django.utils.http import url_has_allowed_host_and_scheme

# As much as the answer to a form is kept with, so that sending it again leads to the same page.
LONGEST_BACK = 400


def back_to(request: HttpRequest, otherwise: str) -> str:
    """The page of this site that the form came from."""
    return safe_back(request.POST.get("back", ""), otherwise=otherwise)


def safe_back(address: Any, *, otherwise: str) -> str:
    fits = len(address) <= LONGEST_BACK and address.isprintable()
    safe = address.startswith("/") and url_has_allowed_host_and_scheme(address, allowed_hosts=None)
    return address if fits and safe else otherwise
