"""What a page says to whoever opens it for the first time, until they put it away. Few, and none about figures."""

from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _

from labcases.people.models import User


@dataclass(frozen=True)
class Hint:
    title: str
    text: str


HINTS = {
    "today": Hint(
        _("Today lists only what needs a decision"),
        _(
            "Late work, returns, gaps in a prescription, work that nobody has. An empty page is a good day; every "
            "open case is under Cases."
        ),
    ),
    "my-work": Hint(
        _("Scan a ticket on any page"),
        _(
            "The scan box takes its code or the case number and opens the sheet. What you have begun stands first, "
            "then what is due."
        ),
    ),
    "bench-sheet": Hint(
        _("Type what the caliper says"),
        _(
            "Comma or point, one to three readings of a dimension. Enter goes on to the next figure. What you typed "
            "and did not save is here when you come back."
        ),
    ),
    "my-cases": Hint(
        _("Each case says where it is and what it needs from you"),
        _("Where nothing stands in rose, you need do nothing: it is with the laboratory or on its way."),
    ),
    "prescription": Hint(
        _("Send what you have"),
        _(
            "Every figure is optional; with the first two of the lip and the cast the rims follow this patient "
            "instead of an average. What is typed is kept until you send it."
        ),
    ),
}


def hint_for(user: object, name: str) -> Hint | None:
    """The hint of that name, unless this person has put it away."""
    if not isinstance(user, User) or name in user.dismissed_hints:
        return None
    return HINTS[name]
