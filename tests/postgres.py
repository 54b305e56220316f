"""A PostgreSQL of the tests' own: started by them, reached through a socket folder, thrown away.

It runs as an ordinary user: the one who runs the tests, or, where that is root, "postgres" or
"nobody", since the server refuses root. Nothing in it outlives the tests, so it need not survive a
power loss either.
"""

import contextlib
import itertools
import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import psycopg

ROLE = "corewright"
START_SECONDS = 30.0
STOP_SECONDS = 20.0


class NoPostgres(Exception):
    """The binaries of PostgreSQL are not on this machine."""


def binaries() -> Path:
    """The folder that holds ``initdb`` and ``postgres``: of the newest version found."""
    on_path = shutil.which("initdb")
    folders = [Path(on_path).resolve().parent] if on_path else []
    packaged = Path("/usr/lib/postgresql").glob("*/bin")
    folders += sorted(packaged, key=lambda folder: int(folder.parent.name), reverse=True)
    for folder in folders:
        if (folder / "initdb").exists() and (folder / "postgres").exists():
            return folder
    raise NoPostgres("PostgreSQL is not installed (on Debian: apt install postgresql)")


def as_whom() -> dict[str, Any]:
    """How to start a child as an ordinary user: nothing to do for who is one."""
    if os.geteuid() != 0:
        return {}
    for name in ("postgres", "nobody"):
        with contextlib.suppress(KeyError):
            user = pwd.getpwnam(name)
            return {"user": user.pw_uid, "group": user.pw_gid, "extra_groups": []}
    raise NoPostgres("PostgreSQL does not run as root, and there is no user postgres or nobody")


@dataclass
class Cluster:
    """A running server; its folder holds data and socket."""

    folder: Path
    _numbers: Iterator[int] = field(default_factory=lambda: itertools.count(1))

    def url(self, name: str) -> str:
        """The address of one of its databases, as DATABASE_URL gives it."""
        return f"postgresql+psycopg://{ROLE}@/{name}?host={self.folder}"

    def new_database(self) -> str:
        """Make an empty database; its address."""
        name = f"tests_{next(self._numbers)}"
        self.run(f"CREATE DATABASE {name}")
        return self.url(name)

    def run(self, statement: str) -> None:
        """Run one statement outside any transaction, in the database that is always there."""
        with self._connect() as connection:
            connection.execute(statement.encode())

    def is_ready(self) -> bool:
        try:
            self._connect().close()
        except psycopg.OperationalError:
            return False
        return True

    def _connect(self) -> "psycopg.Connection[Any]":
        return psycopg.connect(host=str(self.folder), user=ROLE, dbname="postgres", autocommit=True)


@contextlib.contextmanager
def running_cluster() -> Iterator[Cluster]:
    """Start a server, give it, stop it and remove its folder; raises NoPostgres."""
    found, who = binaries(), as_whom()
    # A short path: a socket's may have about a hundred characters.
    folder = Path(tempfile.mkdtemp(prefix="corewright-pg-", dir="/tmp"))
    try:
        if who:
            os.chown(folder, who["user"], who["group"])
        cluster = Cluster(folder)
        with _server(found, cluster, who):
            yield cluster
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextlib.contextmanager
def _server(found: Path, cluster: Cluster, who: dict[str, Any]) -> Iterator[None]:
    data, log = cluster.folder / "data", cluster.folder / "log"
    about = ["--auth=trust", "--locale=C.UTF-8", "--encoding=UTF8", "--no-sync"]
    options = {"cwd": cluster.folder, "stdin": subprocess.DEVNULL, "env": _environment(), **who}
    made = subprocess.run(
        [found / "initdb", "-D", data, "-U", ROLE, *about],
        capture_output=True,
        text=True,
        check=False,
        **options,
    )
    assert made.returncode == 0, made.stderr
    settings = ["listen_addresses=", "fsync=off", "full_page_writes=off", "max_connections=200"]
    with log.open("w", encoding="utf-8") as output:
        child = subprocess.Popen(
            [found / "postgres", "-D", data, "-k", cluster.folder]
            + [word for setting in settings for word in ("-c", setting)],
            stdout=output,
            stderr=subprocess.STDOUT,
            start_new_session=True,  # Ctrl-C is for the tests, which then stop the server
            **options,
        )
    try:
        _wait(cluster, child, log)
        yield
    finally:
        _stop(child)


def _environment() -> dict[str, str]:
    return {name: value for name, value in os.environ.items() if not name.startswith("PG")}


def _wait(cluster: Cluster, child: "subprocess.Popen[bytes]", log: Path) -> None:
    deadline = time.monotonic() + START_SECONDS
    while not cluster.is_ready():
        ended = child.poll() is not None
        assert not ended and time.monotonic() < deadline, log.read_text(encoding="utf-8")
        time.sleep(0.02)


def _stop(child: "subprocess.Popen[bytes]") -> None:
    child.send_signal(signal.SIGQUIT)  # PostgreSQL's immediate stop: nothing is worth saving
    child.wait(STOP_SECONDS)
