"""Two sites, two workers, a primary and a replica under six people who write; a site and the replica die meanwhile."""

import os
import subprocess
import sys

import pytest
from django.db import connection

KILLS = 20


@pytest.mark.full
@pytest.mark.django_db
@pytest.mark.timeout(3600)
@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has no replicas")
def test_nothing_answered_is_lost_and_nobody_misses_what_they_wrote(project_root, proof, rng):
    """It brings servers of its own: that of the test run has no replica."""
    command = [sys.executable, "-m", "tests.reliability.wide", "--kills", str(KILLS), "--seconds", "4"]
    run = subprocess.run(
        [*command, "--seed", str(rng.getrandbits(32))],
        cwd=project_root,
        env={**os.environ, "PYTHONPATH": str(project_root)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stdout + run.stderr
    proof("kills-beyond-one-machine").reached(KILLS, f"kills; {run.stdout.strip()}")
