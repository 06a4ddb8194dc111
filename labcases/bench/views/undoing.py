"""Half a minute in which a slip of the hand is taken back by one tap."""

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from labcases.cases.actions.undoing import undo as undo_event
from labcases.cases.choices import Act
from labcases.cases.queries import UNDO_WITHIN, event_to_undo, undoable_act
from labcases.pages.answers import once
from labcases.pages.gates import for_laboratory, stage_or_404, version_seen
from labcases.pages.ids import read_id
from labcases.prosthodontics.wording import in_a_sentence

ACTED_AT = "acted_at"
SAID = {
    Act.STARTED: gettext_lazy("Started"),
    Act.FINISHED: gettext_lazy("Finished"),
    Act.HELD: pgettext_lazy("what was done", "Put on hold"),
    Act.STEP_TICKED: gettext_lazy("Ticked"),
}


@dataclass(frozen=True)
class Undoable:
    """What can be taken back, in words, and for how many seconds still."""

    event: Any
    seconds: int

    @property
    def words(self) -> str:
        stage = self.event.stage
        words = _("{act}: {stage} of {number}.")
        return words.format(
            act=SAID[Act(self.event.act)], stage=in_a_sentence(stage.label), number=stage.case.number
        )


def note_act(request: HttpRequest) -> None:
    """So that only who just did something pays for asking whether it can be undone."""
    request.session[ACTED_AT] = timezone.now().timestamp()


def undoable(request: HttpRequest, *acts: Act, stage: Any = None) -> Undoable | None:
    """The person's last act, if it is one of `acts` (of `stage`) and can still be taken back."""
    now = timezone.now()
    if now.timestamp() - request.session.get(ACTED_AT, 0) > UNDO_WITHIN.total_seconds():
        return None
    event = undoable_act(request.user, now=now)
    if event is None or event.act not in acts or (stage is not None and event.stage_id != stage.pk):
        return None
    left = UNDO_WITHIN - (now - event.at)
    return Undoable(event, max(1, int(left.total_seconds())))


@for_laboratory
def undo(request: HttpRequest, pk: int) -> HttpResponse:
    stage = stage_or_404(request, pk)
    address = redirect("bench:sheet", stage.pk)
    if request.method != "POST":
        return address

    def act() -> str:
        event = _event_or_404(stage, request.POST.get("event", ""))
        version = version_seen(request)
        undo_event(event=event, by=request.user, expected_version=version, now=timezone.now())
        messages.success(request, _("Taken back: {act}.").format(act=in_a_sentence(SAID[Act(event.act)])))
        return address.url

    return once(request, act)


def _event_or_404(stage: Any, text: str) -> Any:
    event = event_to_undo(stage, read_id(text) or 0)
    if event is None:
        raise Http404
    return event
