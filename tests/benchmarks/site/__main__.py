"""How fast the site is at several sizes of archive; writes docs/benchmarks.md.

    make bench                                        1,000, 10,000 and 100,000 cases, ten minutes of fifty people
    make bench SIZES=300,600 MINUTES=1 ROUNDS=5       a quick look; says so on the page that it writes

Each size has a PostgreSQL and a gunicorn of its own, which end with the run.
"""

import datetime
import json
import os
import secrets
import subprocess
import sys
import tempfile
from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import Any

from tests.benchmarks.site.reporting import report

ROOT = Path(__file__).resolve().parents[3]


def measured(cases: int, given: Namespace, *, last: bool) -> dict[str, Any]:
    environment = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "tests.benchmarks.site.settings",
        "LABCASES_SECRET_KEY": secrets.token_urlsafe(60),
        "LABCASES_DEBUG": "0",
        "LABCASES_SECURE": "0",
    }
    with tempfile.NamedTemporaryFile(suffix=".json") as output:
        command = ["tests/tools/with-postgres", sys.executable, "-m", "tests.benchmarks.site.measure"]
        command += ["--cases", str(cases), "--rounds", str(given.rounds), "--output", output.name]
        if last:
            command += ["--minutes", str(given.minutes), "--tickets", str(given.tickets)]
        subprocess.run(command, cwd=ROOT, env=environment, check=True)
        return json.loads(Path(output.name).read_text(encoding="utf-8"))


def main(given: Namespace) -> None:
    sizes = sorted(int(size) for size in given.sizes.split(","))
    found = {}
    for size in sizes:
        print(f"{size:,} cases", flush=True)
        found[size] = measured(size, given, last=size == sizes[-1])
    text = report(found, today=datetime.datetime.now(datetime.UTC).date())
    Path(given.output).write_text(text, encoding="utf-8")
    print(f"written: {given.output}")


if __name__ == "__main__":
    parser = ArgumentParser()
    parser.add_argument("--sizes", default="1000,10000,100000")
    parser.add_argument("--rounds", type=int, default=40)
    parser.add_argument("--minutes", type=float, default=10)
    parser.add_argument("--tickets", type=int, default=50)
    parser.add_argument("--output", default=str(ROOT / "docs" / "benchmarks.md"))
    main(parser.parse_args())
