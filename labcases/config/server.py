"""How gunicorn serves the site: `gunicorn --config python:labcases.config.server labcases.config.wsgi`."""

import sys
from typing import Any

# Asked to end (SIGTERM), it takes no new request and answers those in hand; whoever stops it waits longer than this.
graceful_timeout = 25
# A sheet may be printed for as long as LABCASES_PDF_SECONDS; threads that wait for it do not silence their worker.
worker_class = "gthread"
workers = 2
threads = 4
# Nobody steers it but by signals; a socket in its user's home serves nobody.
control_socket_disable = True
logconfig_dict = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"json": {"()": "labcases.pages.logs.JsonLines"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "json"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    "loggers": {"gunicorn.error": {"handlers": ["console"], "level": "INFO", "propagate": False}},
}

# A thread that computes lets another go on after this many seconds. With Python's own 0.005 a short form that asks the
# database twenty times waits for a long page of its neighbour after each answer, a tenth of a second in all.
TURN = 0.0005


def post_fork(server: Any, worker: Any) -> None:
    sys.setswitchinterval(TURN)
