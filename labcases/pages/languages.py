"""Each person reads the site in a language of their own; what is written down for all is in the laboratory's."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import translation
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_POST

from labcases.pages.answers import once
from labcases.people.actions.lists import choose_language as keep_choice

Answer = Callable[[HttpRequest], HttpResponse]


def in_own_language(get_response: Answer) -> Answer:
    """In the language that its person chose, else in the one that the browser asks for."""

    def answer(request: HttpRequest) -> HttpResponse:
        chosen = request.user.language if request.user.is_authenticated else ""
        with translation.override(chosen or translation.get_language_from_request(request)):
            response = get_response(request)
            response.headers.setdefault("Content-Language", translation.get_language() or "")
        if not chosen:
            patch_vary_headers(response, ("Accept-Language",))
        return response

    return answer


@require_POST
def choose_language(request: HttpRequest) -> HttpResponse:
    def act() -> str:
        keep_choice(code=request.POST.get("language", ""), by=request.user)
        return reverse("own_sign_in")

    return once(request, act)
