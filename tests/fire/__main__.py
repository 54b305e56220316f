"""The large numbers: ``python -m tests.fire --kills 1000 [--engine sqlite|postgresql]``.

Kills come in rounds of a hundred, each on a database of its own and with a seed of its own, so that
a round that finds something can be run again alone: ``--kills 100 --seed N``.
"""

import argparse
import os
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from db.migrate import upgrade
from tests.fire.kills import Account, run_cuts, run_kills
from tests.fire.nursery import Nursery, running_nursery
from tests.postgres import Cluster, running_cluster

ROUND = 100
SERVERS = 3


def main() -> int:
    """Run what the command line asks for; 1 when anything was lost, doubled or torn."""
    asked = _asked()
    with running_nursery() as nursery, ExitStack() as stack:
        cluster = stack.enter_context(running_cluster()) if asked.engine != "sqlite" else None
        accounts = [*_sqlite(nursery, asked)] if asked.engine != "postgresql" else []
        if cluster is not None:
            accounts += _postgresql(nursery, cluster, asked)
    findings = sum(len(account.findings) for account in accounts)
    print(
        f"{sum(one.blows for one in accounts)} blows,"
        f" {sum(one.acknowledged for one in accounts)} writes acknowledged,"
        f" {sum(one.lost for one in accounts)} answers lost, {findings} findings"
    )
    return 1 if findings or _every_fault(asked) else 0


def _asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.fire", description=__doc__)
    parser.add_argument("--kills", type=int, default=1000, help="of servers, on each engine")
    parser.add_argument("--cuts", type=int, default=0, help="of all connections to PostgreSQL")
    parser.add_argument("--engine", choices=("sqlite", "postgresql"), help="one of them only")
    parser.add_argument("--seed", type=int, default=1, help="of the first round")
    parser.add_argument(
        "--every-fault", action="store_true", help="every fault at every call of every write"
    )
    return parser.parse_args()


def _rounds(count: int, seed: int) -> Iterator[tuple[int, int]]:
    """How many in each round, and its seed."""
    for number, start in enumerate(range(0, count, ROUND)):
        yield min(ROUND, count - start), seed + number


def _sqlite(nursery: Nursery, asked: argparse.Namespace) -> Iterator[Account]:
    for kills, seed in _rounds(asked.kills, asked.seed):
        with tempfile.TemporaryDirectory() as folder:
            url = f"sqlite:///{folder}/corewright.db"
            upgrade(url)
            yield _told(
                "sqlite", run_kills(nursery, url, Path(folder), kills=kills, requests=8, seed=seed)
            )


def _postgresql(nursery: Nursery, cluster: Cluster, asked: argparse.Namespace) -> Iterator[Account]:
    cut = (
        "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
        " WHERE datname LIKE 'tests%' AND pid <> pg_backend_pid()"
    )
    with tempfile.TemporaryDirectory() as folder:
        for kills, seed in _rounds(asked.kills, asked.seed):
            url = cluster.new_database()
            upgrade(url)
            about = {"seed": seed, "servers": SERVERS}
            yield _told(
                "postgresql, kills",
                run_kills(nursery, url, Path(folder), kills=kills, requests=8, **about),
            )
        for cuts, seed in _rounds(asked.cuts, asked.seed):
            url = cluster.new_database()
            upgrade(url)
            account = run_cuts(
                nursery,
                url,
                Path(folder),
                cuts=cuts,
                cut=lambda: cluster.run(cut),
                seed=seed,
                servers=SERVERS,
            )
            yield _told("postgresql, cuts", account)


def _told(what: str, account: Account) -> Account:
    print(f"{time.strftime('%H:%M:%S')} {what}: {account}", flush=True)
    return account


def _every_fault(asked: argparse.Namespace) -> bool:
    """Whether the tests of faults fail with every fault at every call; not run unless asked."""
    if not asked.every_fault:
        return False
    os.environ["EVERY_FAULT"] = "true"
    chosen = ["-k", asked.engine] if asked.engine else []
    return pytest.main(["-q", str(Path(__file__).parent / "test_faults.py"), *chosen]) != 0


if __name__ == "__main__":
    sys.exit(main())
