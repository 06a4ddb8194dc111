"""How gunicorn serves the site: `gunicorn --config python:labcases.config.server labcases.config.wsgi`."""

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
