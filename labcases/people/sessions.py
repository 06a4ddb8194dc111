"""Where sessions are kept: Django's own way, in rows that also say whose they are, where, and since when.

When somebody was last seen is a column of its own, never part of the session's data: pages that are asked for at
the same moment would otherwise write over one another's drafts.
"""

import datetime
import hashlib
from typing import Any

from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends import db
from django.contrib.sessions.backends.base import UpdateError
from django.db import OperationalError
from django.utils import timezone

from labcases.people.models import Session

# What the data of a session say of the sign-in that began it.
BEGAN = "began"
DEVICE = "device"
BENCH = "bench_device"
LOCKED = "locked"
BACK = "back"


class SessionStore(db.SessionStore):
    row: Session | None = None

    @classmethod
    def get_model_class(cls) -> type[Session]:
        return Session

    def load(self) -> dict[str, Any]:
        self.row = self._get_session_from_db()
        return self.decode(self.row.session_data) if self.row else {}

    def save(self, must_create: bool = False) -> None:
        """A session that has a person has a beginning, whichever way that person came in."""
        if SESSION_KEY in self and BEGAN not in self:
            self[BEGAN] = timezone.now().timestamp()
        failure = None
        try:
            super().save(must_create)
        except UpdateError as error:
            # Django takes any failure of the database for a session that was ended meanwhile, and blames the reader.
            # Raised outside of this, so that what led to it, such as a full disk, stays its own cause.
            failure = error.__context__
            if not isinstance(failure, OperationalError):
                raise
        if failure:
            raise failure

    def create_model_instance(self, data: dict[str, Any]) -> Session:
        row: Session = super().create_model_instance(data)
        if SESSION_KEY in data:
            row.user_id = data[SESSION_KEY]
            row.device = data.get(DEVICE, "")
            row.bench_device_id = data.get(BENCH)
            row.is_locked = bool(data.get(LOCKED))
            row.began_at = datetime.datetime.fromtimestamp(data[BEGAN], tz=datetime.UTC)
            row.seen_at = timezone.now()
        return row


def handle_of(session_key: str) -> str:
    """Names a session on a page; the key itself would let whoever reads the page in."""
    return hashlib.sha256(f"handle:{session_key}".encode()).hexdigest()[:24]
