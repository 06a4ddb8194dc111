"""The computing commands run as a technician's script would: from a shell, with nothing of a site around them."""

import json
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[4]


def run(command: str, *arguments: str, document: object = None, text: str | None = None):
    """One command in an environment that holds no setting at all; `document` goes in by standard input."""
    sent = json.dumps(document) if text is None else text
    return subprocess.run(
        [sys.executable, "manage.py", command, *arguments],
        cwd=ROOT,
        env={},
        input=sent,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=120,
        check=False,
    )


def answer(command: str, *arguments: str, document: object = None):
    done = run(command, *arguments, document=document)
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    return json.loads(done.stdout)


def refusal(done) -> str:
    """The one line that a refused command leaves; nothing may stand on the output."""
    assert done.returncode == 2, done.stdout + done.stderr
    assert done.stdout == ""
    lines = done.stderr.splitlines()
    assert len(lines) == 1, done.stderr
    return lines[0]


def figures(part) -> dict[str, str]:
    return {value["name"]: value["value"] for value in part["values"]}
