"""What was typed into a form and not saved yet, kept on the server for the person who typed it.

A draft lives in the session: it outlasts a wrong turn, a refused form and a page loaded
again; a sign-out ends it.
"""

from collections.abc import Iterable, Mapping

from django.http import HttpRequest

DRAFTS = "drafts"
LONGEST_TEXT = 400
MOST_DRAFTS = 30


def keep_draft(request: HttpRequest, name: str, fields: Iterable[str]) -> None:
    """Keep the named fields of the form that was sent; a form with nothing typed leaves no draft."""
    typed = {field: text[:LONGEST_TEXT] for field in fields if (text := request.POST.get(field, "").strip())}
    drafts = {**request.session.get(DRAFTS, {})}
    drafts.pop(name, None)
    if typed:
        drafts[name] = typed
    request.session[DRAFTS] = dict(list(drafts.items())[-MOST_DRAFTS:])


def draft(request: HttpRequest, name: str) -> Mapping[str, str]:
    return request.session.get(DRAFTS, {}).get(name, {})


def drop_draft(request: HttpRequest, name: str) -> None:
    drafts = request.session.get(DRAFTS, {})
    if name in drafts:
        request.session[DRAFTS] = {key: kept for key, kept in drafts.items() if key != name}
