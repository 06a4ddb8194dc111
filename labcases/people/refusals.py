"""What an action answers when it will not do what was asked. Pages show these; none is a server error."""

import datetime

from labcases.prosthodontics.errors import LabCasesError


class Refused(LabCasesError):
    """The action was not done, for a reason that the person can act on; `.message` is one plain sentence."""


class NotAllowed(Refused):
    """This person may not do this; someone else may."""


class Conflict(Refused):
    """Somebody else was first: what the person saw is no longer so, and nothing was changed."""

    def __init__(
        self, message: str, *, who: str = "", when: datetime.datetime | None = None, what: str = ""
    ) -> None:
        super().__init__(message)
        self.who = who
        self.when = when
        self.what = what
