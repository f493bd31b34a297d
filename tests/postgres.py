"""A PostgreSQL server of our own for tests: in a temporary folder, on a socket, gone afterwards.

Debian's package `postgresql` keeps its programs under /usr/lib/postgresql/*/bin. Where there are
none, tests that need a server fail with the reason; they are not skipped.
"""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from uuid import uuid4

DEBIAN = Path("/usr/lib/postgresql")


class NoServerError(AssertionError):
    """There is no PostgreSQL to test with."""


@dataclass(frozen=True)
class Server:
    """A server that runs. socket: its folder."""

    bin: Path
    data: Path
    socket: Path
    user: str | None

    def new_database(self) -> str:
        """Make an empty database, and return its address."""
        name = f"wall_{uuid4().hex[:12]}"
        self.run("createdb", "-h", str(self.socket), "-U", "backstay", name)
        return f"postgresql://backstay@/{name}?host={self.socket}"

    def start(self) -> None:
        """Start it."""
        options = f"-k {self.socket} -c listen_addresses='' -c fsync=off -c max_connections=30"
        log = self.data.parent / "log"
        self.run("pg_ctl", "-D", str(self.data), "-l", str(log), "-w", "-o", options, "start")

    def stop(self, how: str) -> None:
        """Stop it: `fast`, or `immediate` as if it had crashed."""
        self.run("pg_ctl", "-D", str(self.data), "-m", how, "-w", "stop")

    def run(self, program: str, *words: str) -> None:
        """Run one of its programs, as a user without rights where we have them all."""
        done = subprocess.run(
            [self.bin / program, *words], user=self.user, cwd=self.data.parent, env=_environment(),
            stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
            check=False, timeout=60,
        )  # fmt: skip
        if done.returncode:
            raise AssertionError(f"{program}: {done.stdout}")


@contextmanager
def server() -> Iterator[Server]:
    """Give a server that runs."""
    folder = Path(tempfile.mkdtemp(prefix="pg-", dir="/tmp"))  # a socket's path is short
    user = _user()
    try:
        if user is not None:
            shutil.chown(folder, user)
        made = Server(_programs(), folder / "data", folder, user)
        made.run(
            "initdb", "-D", str(made.data), "-U", "backstay", "-A", "trust", "-E", "UTF8",
            "--locale=C", "--no-sync",
        )  # fmt: skip
        made.start()
        try:
            yield made
        finally:
            if (made.data / "postmaster.pid").exists():  # a test may have stopped it
                made.stop("immediate")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _programs() -> Path:
    found = sorted(DEBIAN.glob("*/bin/initdb"), key=lambda p: float(p.parts[-3]))
    on_path = shutil.which("initdb")
    if found:
        return found[-1].parent
    if on_path:
        return Path(on_path).resolve().parent
    raise NoServerError(
        "PostgreSQL is not installed (Debian package postgresql), and field records are tested "
        "on it for real: run `scripts/setup test`"
    )


def _user() -> str | None:
    """Return whom to run it as: PostgreSQL refuses to run with all rights."""
    if os.geteuid() != 0:
        return None
    names = {entry.pw_name for entry in pwd.getpwall()}
    return "postgres" if "postgres" in names else "nobody"


def _environment() -> dict[str, str]:
    return {"PATH": os.environ.get("PATH", "/usr/bin:/bin"), "LC_ALL": "C", "TZ": "UTC"}
