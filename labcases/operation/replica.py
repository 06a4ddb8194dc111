"""Lists read from a replica of the database, where nobody misses what they wrote themselves.

All pages but the lists named here are read from the primary, and so is everything inside a transaction: what a write
is decided by is never a moment old. Whatever a replica can't answer is done again at the primary, so that one that is
away, behind or ended in the middle of a page costs a moment and never the page.
"""

import logging
import time
from collections.abc import Callable, Mapping, Sequence
from contextvars import ContextVar
from typing import Any

from django.core.exceptions import MiddlewareNotUsed
from django.db import DEFAULT_DB_ALIAS, Error, connections
from django.db.models import Model
from django.http import HttpRequest, HttpResponse

from labcases.people.models import User
from labcases.prosthodontics.errors import one_line
from labcases.upkeep.actions.writes import note_write
from labcases.upkeep.queries import REPLICA, has_replica, last_write_and_end, replayed
from labcases.upkeep.rules import MOST_BEHIND, Distance

SAFE = ("GET", "HEAD", "OPTIONS")
# A server that does not answer is not asked again at once: every list would wait for it.
AWAY_SECONDS = 15.0
logger = logging.getLogger(__name__)
_reading_a_list: ContextVar[bool] = ContextVar("reading_a_list", default=False)


class Router:
    """To the replica goes what a list reads outside of any transaction; to the primary everything else."""

    def db_for_read(self, model: type[Model], **hints: Any) -> str | None:
        if _is_elsewhere(hints.get("instance")):
            return None
        if _reading_a_list.get() and not connections[DEFAULT_DB_ALIAS].in_atomic_block:
            return REPLICA
        return DEFAULT_DB_ALIAS

    def db_for_write(self, model: type[Model], **hints: Any) -> str | None:
        return None if _is_elsewhere(hints.get("instance")) else DEFAULT_DB_ALIAS

    def allow_relation(self, one: Model, other: Model, **hints: Any) -> bool | None:
        """A row of the replica is the primary's row."""
        both = {one._state.db, other._state.db}
        return True if both <= {DEFAULT_DB_ALIAS, REPLICA} else None

    def allow_migrate(self, db: str, app_label: str, **hints: Any) -> bool | None:
        return False if db == REPLICA else None


def _is_elsewhere(instance: Model | None) -> bool:
    """A row of some other database, such as one that is restored into, stays with it."""
    return instance is not None and instance._state.db not in (None, DEFAULT_DB_ALIAS, REPLICA)


class ListsFromReplica:
    """Decides for each list whether the replica may answer it, and notes where in the log a person wrote.

    What is written before an answer goes out is noted before it does. Other people's writes may be missing from a list
    for MOST_BEHIND seconds; a replica further behind, or cut off from its primary, is not read.
    """

    LISTS = frozenset(
        (
            "office:today",
            "office:cases",
            "office:export",
            "office:plan",
            "office:collections",
            "bench:work",
            "clinic:cases",
        )
    )

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        if not has_replica():
            raise MiddlewareNotUsed
        self.get_response = get_response
        self.distance, self.away_until = Distance(), 0.0

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if request.method not in SAFE and response.status_code < 400 and request.user.is_authenticated:
            note_write(by=request.user)
        return response

    def process_view(
        self,
        request: HttpRequest,
        view: Callable[..., HttpResponse],
        args: Sequence[Any],
        kwargs: Mapping[str, Any],
    ) -> HttpResponse | None:
        """The list as the replica has it; None leaves it to be read from the primary as ever."""
        is_list = request.method in SAFE and request.resolver_match.view_name in self.LISTS
        if not is_list or not self._may_read_for(request.user):
            return None
        token = _reading_a_list.set(True)
        try:
            return view(request, *args, **kwargs)
        except Error as error:
            self._leave(error)
        except Exception:
            # What is not there may be there by now; the primary's answer is the one that counts, refusals too.
            logger.debug("a list is read again from the primary", exc_info=True)
        finally:
            _reading_a_list.reset(token)
        return None

    def _may_read_for(self, user: User) -> bool:
        now = time.monotonic()
        if now < self.away_until:
            return False
        last_write, end = last_write_and_end(user)
        try:
            done = replayed()
        except Error as error:
            self._leave(error)
            return False
        if done is None:
            self._leave("it is no replica")
            return False
        return self.distance.seconds(end=end, replayed=done, now=now) <= MOST_BEHIND and done >= last_write

    def _leave(self, why: Error | str) -> None:
        self.away_until = time.monotonic() + AWAY_SECONDS
        connections[REPLICA].close()
        logger.warning("the replica is left alone for %g seconds: %s", AWAY_SECONDS, one_line(str(why)))
