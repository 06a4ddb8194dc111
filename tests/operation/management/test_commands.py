"""The three commands as a person or a timer runs them: each a process of its own."""

import os
import subprocess
import sys

import pytest


@pytest.fixture
def manage(project_root, tmp_path):
    """Run manage.py on a SQLite file of the folder; status, what was said, and what was complained of."""

    def run(*words, database="site.sqlite3"):
        environment = {
            **os.environ,
            "DATABASE_URL": f"sqlite:///{tmp_path / database}",
            "DJANGO_SETTINGS_MODULE": "labcases.config.settings",
        }
        command = [sys.executable, "manage.py", *map(str, words)]
        done = subprocess.run(command, cwd=project_root, env=environment, capture_output=True, text=True)
        return done.returncode, done.stdout, done.stderr

    return run


def refused(answer) -> str:
    status, said, complained = answer
    assert (status, said, complained.count("\n")) == (2, "", 1)
    return complained


def test_a_site_goes_through_the_three_commands(manage, tmp_path):
    path = tmp_path / "b.zip"
    assert "no tables" in refused(manage("backup", path))
    assert manage("migrate", "--verbosity", "0")[0] == 0
    status, said, complained = manage("backup", path)
    assert (status, complained) == (0, "")
    assert "read back and sound" in said
    assert "exists already" in refused(manage("backup", path))
    assert manage("verify_backup", path, database="none.sqlite3")[0] == 0
    status, said, _ = manage("restore", path, database="new.sqlite3")
    assert (status, said.count("\n")) == (0, 1)


def test_a_file_that_is_no_backup_is_refused_in_one_line(manage, tmp_path):
    path = tmp_path / "b.zip"
    path.write_bytes(b"PK\3\4 of something else" * 20)
    assert "no backup of this program" in refused(manage("verify_backup", path))
    assert "no backup of this program" in refused(manage("restore", path, database="new.sqlite3"))
    assert "can't be read" in refused(manage("verify_backup", tmp_path / "no\nwhere"))
    assert not (tmp_path / "new.sqlite3").exists()


def test_the_help_says_what_an_archive_holds(manage):
    assert "patient codes" in " ".join(manage("backup", "--help")[1].split())
