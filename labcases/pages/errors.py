import sys

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string

from labcases.pages.logs import reference
from labcases.pages.space import is_out_of_space, out_of_space


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "pages/400.html", status=400)


def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "pages/403.html", status=403)


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "pages/404.html", status=404)


def server_error(request: HttpRequest) -> HttpResponse:
    if is_out_of_space(sys.exc_info()[1]):
        return out_of_space(request)
    # Without the request, so that no context processor asks a database that may be what failed.
    return HttpResponse(render_to_string("pages/500.html", {"reference": reference.get()}), status=500)


def forged(request: HttpRequest, reason: str = "") -> HttpResponse:
    return render(request, "pages/403_csrf.html", status=403)
