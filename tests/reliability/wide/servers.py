"""A PostgreSQL server of its own and a replica that follows it, on sockets in a temporary folder and on no port."""

import contextlib
import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

import psycopg

ROOT = Path(__file__).resolve().parents[3]
PATIENCE = 60
NAME, OWNER = "labcases", "postgres"


class Server:
    """One server's process; killed, it recovers by itself when it is started again."""

    def __init__(self, box: "Box", port: int, command: list[str]) -> None:
        self.box, self.port, self.command, self.process = box, port, command, None

    @property
    def url(self) -> str:
        return f"postgres://{OWNER}@{quote(str(self.box.folder), safe='')}:{self.port}/{NAME}"

    def start(self) -> None:
        until = time.monotonic() + PATIENCE
        while not self.answers():
            assert time.monotonic() < until, f"a server did not come up; see {self.box.log}"
            # One that was killed leaves its children to end by themselves; until then no other may begin.
            if self.process is None or self.process.poll() is not None:
                self.process = self.box.begin(*self.command)
            time.sleep(0.1)

    def answers(self) -> bool:
        try:
            psycopg.connect(self.url.replace(f"/{NAME}", "/postgres"), connect_timeout=2).close()
        except psycopg.OperationalError:
            return False
        return True

    def end(self, how: signal.Signals) -> None:
        if self.process and self.process.poll() is None:
            self.process.send_signal(how)
            self.process.wait(PATIENCE)

    def kill(self) -> None:
        self.end(signal.SIGKILL)


class Box:
    """A folder that belongs to whom the servers run as: never to root, as which PostgreSQL refuses to run."""

    def __init__(self, folder: Path, *, delay: int) -> None:
        self.folder, self.log = folder, folder / "servers.log"
        self.as_owner: list[str] = []
        if os.getuid() == 0:
            self.as_owner = ["setpriv", f"--reuid={OWNER}", f"--regid={OWNER}", "--init-groups"]
            shutil.chown(folder, OWNER, OWNER)
        found = subprocess.run(
            ["bash", "-c", f". {ROOT}/.ci/machine.sh; find_postgres"], capture_output=True, text=True
        )
        assert found.returncode == 0, "PostgreSQL is missing: apt-get install postgresql"
        self.bin = Path(found.stdout.strip())
        self.primary = Server(self, 5432, [str(self.bin / "postgres"), "-D", str(folder / "primary")])
        script = shutil.copy(ROOT / ".ci" / "wide" / "replicate", folder)
        # What a slow line would do: every commit is there so many milliseconds after it was made.
        given = ("-c", "port=5433", "-c", f"recovery_min_apply_delay={delay}ms")
        self.replica = Server(self, 5433, ["bash", str(script), *given])

    def begin(self, *command: str) -> subprocess.Popen:
        here = {"PATH": f"{self.bin}:{os.environ['PATH']}", "LC_ALL": "C.UTF-8"}
        here |= {"PGHOST": str(self.folder), "PGUSER": OWNER, "PGDATA": str(self.folder / "replica")}
        with self.log.open("ab") as log:
            return subprocess.Popen([*self.as_owner, *command], cwd="/", env=here, stdout=log, stderr=log)

    def lay(self) -> None:
        """The primary with an empty database, flushed to the disk as one in earnest is, and its replica."""
        data = self.folder / "primary"
        options = (f"--pgdata={data}", f"--username={OWNER}", "--auth=trust", "--encoding=UTF8", "--no-sync")
        assert self.begin(str(self.bin / "initdb"), *options).wait(PATIENCE) == 0, self.log.read_text()
        with (data / "postgresql.conf").open("a") as settings:
            settings.write(f"listen_addresses = ''\nunix_socket_directories = '{self.folder}'\n")
        self.primary.start()
        assert self.begin(str(self.bin / "createdb"), NAME).wait(PATIENCE) == 0, self.log.read_text()
        self.replica.start()


@contextlib.contextmanager
def box(*, delay: int) -> Iterator[Box]:
    with tempfile.TemporaryDirectory(prefix="labcases-wide-", ignore_cleanup_errors=True) as folder:
        made = Box(Path(folder), delay=delay)
        try:
            made.lay()
            yield made
        finally:
            made.replica.end(signal.SIGINT)
            made.primary.end(signal.SIGINT)
