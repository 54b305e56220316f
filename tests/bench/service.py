"""How many requests a second the service answers, as ratios to a bare endpoint of the same run."""

import json
import os
import socket
import subprocess
import sys
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx

from api.demo.server import running_server
from db.engine import Sessions, make_engine
from db.migrate import upgrade
from db.queries.access import make_shop_and_key
from tests.bench.load import Measured, Request, measure
from tests.bench.lookups import look_ups, of_condition
from tests.postgres import NoPostgres, running_cluster

SECONDS = 4.0
RECORDS = 2_000
JSON = ("Content-Type", "application/json")


def run() -> None:
    """Print one table per database."""
    # What is measured is the service, not how soon it tells a caller to slow down.
    os.environ["COREWRIGHT_LIMIT_REQUESTS_PER_KEY"] = "100000000"
    with bare_server() as port:
        bare = measure(port, lambda _: Request("GET", "/"), 200, SECONDS)
    print(f"{'':<30}{'a second':>10}{'ratio':>8}{'p50 ms':>9}{'p99 ms':>9}")
    show("bare endpoint", bare, bare)
    with tempfile.TemporaryDirectory() as folder:
        print("SQLite, one process")
        service(f"sqlite:///{folder}/bench.db", Path(folder), bare, has_look_ups=True)
        try:
            with running_cluster() as cluster:
                print("PostgreSQL, one process (its fsync off, as in the tests)")
                service(cluster.new_database(), Path(folder), bare)
        except NoPostgres as error:
            print(f"PostgreSQL: left out, {error}")


def show(name: str, found: Measured, bare: Measured) -> None:
    ratio = found.per_second / bare.per_second
    print(
        f"{name:<30}{found.per_second:>10.0f}{ratio:>8.3f}{found.p50_ms:>9.1f}{found.p99_ms:>9.1f}",
        flush=True,
    )


def service(url: str, folder: Path, bare: Measured, *, has_look_ups: bool = False) -> None:
    upgrade(url)
    sessions = Sessions(make_engine(url))
    with sessions.writing() as session:
        _, key = make_shop_and_key(session, "Workshop on the bench")
    sessions.close()
    with running_server(url, key, folder / "server.log") as base_url:
        port = int(base_url.rsplit(":", 1)[1])
        headers = {"Authorization": f"Bearer {key}"}
        with httpx.Client(base_url=f"{base_url}/v1", headers=headers, timeout=60) as client:
            bearer = (("Authorization", f"Bearer {key}"),)
            requests = prepared(client, bearer)
            if has_look_ups:
                requests |= look_ups(bearer) | of_condition(bearer)
        for name, (make, wanted) in requests.items():
            show("  " + name, measure(port, make, wanted, SECONDS), bare)


Made = tuple[Callable[[int], Request], int]


def prepared(client: httpx.Client, key: tuple[tuple[str, str], ...]) -> dict[str, Made]:
    """Fill the database; what is asked, and the status that answers it."""
    ids = [store(client, "/suppliers", supplier(number)) for number in range(RECORDS)]
    first = client.get("/suppliers", params={"limit": "20"}).json()["next"]
    snapshot = Path(__file__).parents[2] / "seed_data" / "whole-snapshot.json"
    body = json.dumps(json.loads(snapshot.read_text("utf-8"))).encode()
    return {
        "read by id": (
            lambda n: Request("GET", f"/v1/suppliers/{ids[n % RECORDS]}", key),
            200,
        ),
        "page of 20": (lambda _: Request("GET", first, key), 200),
        "create": (lambda n: created(n, key), 201),
        "decision, 4 positions": (
            lambda _: Request("POST", "/v1/calculations/decision", (*key, JSON), body),
            200,
        ),
    }


def supplier(number: int) -> dict[str, Any]:
    return {"name": f"Bench supplier {number}", "freight": {"amount": "9.50", "currency": "EUR"}}


def store(client: httpx.Client, path: str, body: dict[str, Any]) -> str:
    answer = client.post(path, json=body, headers={"Idempotency-Key": str(uuid.uuid4())})
    answer.raise_for_status()
    return str(answer.json()["id"])


def created(number: int, key: tuple[tuple[str, str], ...]) -> Request:
    headers = (*key, JSON, ("Idempotency-Key", str(uuid.uuid4())))
    return Request("POST", "/v1/suppliers", headers, json.dumps(supplier(number)).encode())


@contextmanager
def bare_server() -> Iterator[int]:
    """A server of its own process with nothing in it but an echo."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    server = subprocess.Popen([sys.executable, "-m", "tests.bench.bare", str(port)])
    try:
        for _ in range(200):
            with socket.socket() as caller:
                if caller.connect_ex(("127.0.0.1", port)) == 0:
                    break
            time.sleep(0.05)
        yield port
    finally:
        server.terminate()
        server.wait(timeout=20)
