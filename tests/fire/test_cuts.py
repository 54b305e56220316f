"""A database that goes away and comes back: refused or done, never broken, nothing lost."""

import os
import signal
import subprocess
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from db.migrate import upgrade
from tests.fire.kills import Account, run_cuts
from tests.fire.nursery import Nursery
from tests.postgres import START_SECONDS, Cluster, as_whom, running_cluster

SEED = 20_262
ALLOWED = frozenset(("busy", "database-away", "duplicate", "stale-version", "not-found"))
"""With what a request may be refused: what the database does, or what the request asks for."""


def check(account: Account) -> None:
    print(account)
    assert not account.findings, str(account)
    assert account.refused.keys() <= ALLOWED, str(account)
    assert account.acknowledged > account.blows, str(account)


@pytest.mark.engines("postgresql")
def test_connections_cut_in_the_middle_of_requests_lose_nothing(
    nursery: Nursery, cluster: Cluster, new_url: Callable[[], str], tmp_path: Path
) -> None:
    url = new_url()
    upgrade(url)
    name = url.split("@/")[1].split("?")[0]
    cut = (
        "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
        f" WHERE datname = '{name}' AND pid <> pg_backend_pid()"
    )
    account = run_cuts(
        nursery, url, tmp_path, cuts=8, cut=lambda: cluster.run(cut), seed=SEED, servers=2
    )
    check(account)
    assert account.refused.get("database-away"), "no request was hit"


class Restartable:
    """A cluster whose server process is stopped and started again."""

    def __init__(self, cluster: Cluster) -> None:
        self.cluster = cluster
        self._data = cluster.folder / "data"
        # How it was started, in the server's own words: each argument in quotes.
        words = (self._data / "postmaster.opts").read_text(encoding="utf-8").strip()
        self._command = [word.strip('"') for word in words.split()]
        self._started: list[subprocess.Popen[bytes]] = []

    def restart(self, number: int) -> None:
        """Stop the server by a signal, kill its sessions with it, start it again."""
        pid_file = self._data / "postmaster.pid"
        pid = int(pid_file.read_text(encoding="utf-8").split()[0])
        subprocess.run(["kill", f"-{number}", str(pid)], check=True)
        self._wait(lambda: _is_gone(pid))
        self._start()
        self._wait(self._is_back)

    def _start(self) -> None:
        with (self.cluster.folder / "log-again").open("a", encoding="utf-8") as log:
            child = subprocess.Popen(
                self._command,
                cwd=self.cluster.folder,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=subprocess.STDOUT,
                start_new_session=True,
                **as_whom(),
            )
        self._started.append(child)

    def _is_back(self) -> bool:
        if self._started[-1].poll() is not None:  # sessions of the killed one still ran
            self._start()
        return self.cluster.is_ready()

    def _wait(self, ready: Callable[[], bool]) -> None:
        deadline = time.monotonic() + START_SECONDS
        while not ready():
            assert time.monotonic() < deadline, "the cluster does not come back"
            time.sleep(0.01)

    def stop(self) -> None:
        for child in self._started:
            child.terminate()
            child.wait(START_SECONDS)


def _is_gone(pid: int) -> bool:
    """Whether a child of ours has ended; it is taken off the list of processes then."""
    try:
        return os.waitpid(pid, os.WNOHANG)[0] == pid
    except ChildProcessError:
        return True


@pytest.fixture
def restartable(cluster: Cluster) -> Iterator[Restartable]:
    """A cluster of this test's own: the one of the others, which ``cluster`` found, stays up."""
    with running_cluster() as own:
        mine = Restartable(own)
        yield mine
        mine.stop()


@pytest.mark.engines("postgresql")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGQUIT, signal.SIGKILL])
def test_a_database_server_started_again_is_found_again_without_a_restart_of_ours(
    nursery: Nursery,
    engine_name: str,
    restartable: Restartable,
    tmp_path: Path,
    number: signal.Signals,
) -> None:
    """Whether it was told to stop, told to stop at once, or killed."""
    url = restartable.cluster.new_database()
    upgrade(url)
    account = run_cuts(
        nursery, url, tmp_path, cuts=1, cut=lambda: restartable.restart(number), seed=SEED
    )
    check(account)
