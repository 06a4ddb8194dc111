"""All measures at one size, in the database that DATABASE_URL names; writes what it found as JSON.

Run by `tests.benchmarks.site`, which gives each size a PostgreSQL of its own.
"""

import json
import sys
import time
from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import Any

import django

# So many cases come in beside those of the archive, or the papers of a morning and the work of fifty people run out.
MORE_CASES = 300


def main(given: Namespace) -> None:
    django.setup()
    from django.core.management import call_command
    from django.utils import timezone

    from labcases.cases.models import Stage
    from labcases.demo.archive.generating import generate_archive
    from labcases.measurements.models import Reading
    from tests.benchmarks.site import crowding, looking, measuring, more_work, visiting, workers

    call_command("migrate", interactive=False, verbosity=0)
    call_command("collectstatic", interactive=False, verbosity=0)
    began = time.monotonic()
    generate_archive(cases=given.cases, seed=1, now=timezone.localtime())
    found: dict[str, Any] = {
        "made": time.monotonic() - began,
        "stages": Stage.objects.count(),
        "readings": Reading.objects.count(),
        "searches": measuring.measure_searches(rounds=given.rounds),
    }
    with visiting.served() as (port, server):
        pages = measuring.addresses()
        found["pages"] = measuring.measure_pages(port, pages, rounds=given.rounds)
        found["memory"] = visiting.memory_of_workers(server)
        if given.tickets:
            found["looks"] = looking.look(port, pages)
            more_work.take_in(MORE_CASES)
            found["paper"] = measuring.measure_paper(rounds=15)
            found["morning"] = workers.measure_morning(many=given.tickets)
        if given.minutes:
            found["crowd"] = crowding.measure_crowd(port, minutes=given.minutes, alone=20)
    Path(given.output).write_text(json.dumps(found), encoding="utf-8")


if __name__ == "__main__":
    parser = ArgumentParser()
    parser.add_argument("--cases", type=int, required=True)
    parser.add_argument("--rounds", type=int, required=True)
    parser.add_argument("--minutes", type=float, default=0)
    parser.add_argument("--tickets", type=int, default=0)
    parser.add_argument("--output", required=True)
    sys.exit(main(parser.parse_args()))
