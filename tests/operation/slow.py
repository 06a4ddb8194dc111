"""Things that take their time, for processes that are asked to end meanwhile."""

import time
from pathlib import Path

from django_tasks import task


@task()
def slow_job(folder: str, seconds: float) -> str:
    """Leave a file when it begins, another when it ends."""
    begun = Path(folder) / "begun"
    begun.write_text(begun.read_text() + "x" if begun.exists() else "x")
    time.sleep(seconds)
    (Path(folder) / "ended").write_text("x")
    return "done"


def slow_site(environ, start_response):
    """The site itself, after a while."""
    from labcases.config.wsgi import application

    if marker := environ.get("HTTP_X_MARKER"):
        Path(marker).write_text("x")
        time.sleep(1)
    return application(environ, start_response)
