"""What was typed into a form and not saved yet, kept on the server for the person who typed it.

A draft lives in the session: it outlasts a wrong turn, a refused form and a page loaded
again; a sign-out ends it.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from django import forms
from django.http import HttpRequest, HttpResponse

from labcases.pages.answers import answer_form
from labcases.people.refusals import Refused

DRAFTS = "drafts"
LONGEST_TEXT = 4000
MOST_DRAFTS = 30
VERSION = "version"
# A form sent with this word is only kept; opened with the other, it shows what holds and not the draft.
KEEP, AFRESH = "draft", "afresh"


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


@dataclass(frozen=True)
class Kept:
    """A draft as its form shows it: in the boxes, or beside them where somebody else changed the rows since."""

    typed: tuple[tuple[str, str], ...]
    is_overtaken: bool


def keep_changes(request: HttpRequest, name: str, form: forms.BaseForm) -> HttpResponse:
    """Keep what the form that was sent changes. Nothing is checked, and nothing that says yes is kept."""
    changed = [field for field in form.changed_data if _may_be_kept(form.fields[field])]
    keep_draft(request, name, [*changed, VERSION] if changed else [])
    return HttpResponse(status=204)


def only_keeps(request: HttpRequest) -> bool:
    return request.method == "POST" and KEEP in request.POST


def start_from_draft(
    request: HttpRequest, name: str, form: forms.BaseForm, *, version: int | None = None
) -> Kept | None:
    """Put a draft into the boxes of a form that nobody has sent; `version` is that of the row it changes."""
    kept = draft(request, name)
    if form.is_bound or AFRESH in request.GET:
        return None
    texts = {field: text for field, text in kept.items() if field in form.fields}
    if not texts:
        return None
    overtaken = kept.get(VERSION, "") != str("" if version is None else version)
    if not overtaken:
        form.initial |= texts
    labels = ((str(form[field].label), _shown(form.fields[field], text)) for field, text in texts.items())
    return Kept(tuple(labels), overtaken)


def answer_and_keep(
    request: HttpRequest, form: forms.BaseForm, act: Callable[[], str], *, name: str
) -> HttpResponse | None:
    """As `answer_form`; what was typed is kept until it is done."""
    try:
        answer = answer_form(request, form, act)
    except Refused:
        keep_changes(request, name, form)
        raise
    if answer:
        drop_draft(request, name)
    elif form.is_bound:
        keep_changes(request, name, form)
    return answer


def _may_be_kept(field: forms.Field) -> bool:
    return not isinstance(field, forms.BooleanField) and not field.widget.is_hidden


def _shown(field: forms.Field, text: str) -> str:
    """What a box held, as its page shows it: a choice by its label."""
    choices = {
        str(key): str(label)
        for key, label in getattr(field, "choices", ())
        if not isinstance(label, list | tuple)
    }
    return choices.get(text, text)
