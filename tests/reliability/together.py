"""Several people at the same moment: each act in a thread of its own, with its own connection."""

import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager

from django.db import connection, connections, transaction

Act = Callable[[], object]
LONGEST_WAIT = 10


def at_once(*acts: Act) -> list[object]:
    """What each act returned, or the exception that it raised; all start when the last one is ready."""
    ready = threading.Barrier(len(acts), timeout=LONGEST_WAIT)

    def run(act: Act) -> object:
        try:
            connection.ensure_connection()
            ready.wait()
            return act()
        except Exception as error:
            return error
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(run, acts))


@contextmanager
def while_waiting(act: Act):
    """Run the block in a transaction on which `act`, in a thread of its own, is made to wait.

    Yields a list that holds what the act returned or raised once the block has been committed.
    """
    answers: list[object] = []
    with ThreadPoolExecutor(1) as pool:
        with transaction.atomic():
            yield answers
            running = pool.submit(lambda: at_once(act))
            _until_somebody_waits()
        answers += running.result()


def _until_somebody_waits() -> None:
    """On PostgreSQL until a lock is waited for; SQLite shows no such thing, and there a moment must do."""
    if connection.vendor != "postgresql":
        time.sleep(0.2)
        return
    give_up = time.monotonic() + LONGEST_WAIT
    while time.monotonic() < give_up:
        with connection.cursor() as cursor:
            cursor.execute("SELECT count(*) FROM pg_locks WHERE NOT granted")
            if cursor.fetchone()[0]:
                return
        time.sleep(0.01)
    raise AssertionError("nobody waited for the block's transaction")
