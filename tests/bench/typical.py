"""How long a typical job takes: its case, one solve, the whole answer, the answer over HTTP.

Ratios are to the second solver's one solve of the same job's case, in the same run.
"""

import json
import tempfile
from pathlib import Path
from typing import Any

import httpx

from api.demo.server import running_server
from db.engine import Sessions, make_engine
from db.migrate import upgrade
from db.queries.access import make_shop_and_key
from shared.decision.building.build import build
from shared.decision.codec import from_builtins
from shared.decision.decide import decide
from shared.decision.planning.case import Query
from shared.decision.planning.solver import solve
from shared.decision.snapshot import Snapshot
from tests.bench.planner import milliseconds, show
from tests.bench.typical_job import typical_job
from tests.shared.decision.second_solver import cheapest_objective

REPEATS = 5


def run() -> None:
    """Print one table: milliseconds, and the ratio to the second solver."""
    members = typical_job()
    snapshot = from_builtins(members, Snapshot)
    quick = typical_job(alternatives=1, break_evens=0, settlings=0, has_extras=False)
    bare = from_builtins(quick, Snapshot)
    built = build(snapshot)
    query = Query(built.confidence, built.deadline)
    deadline = built.case.last_day if built.deadline is None else built.deadline
    plan = solve(built.case, query).plan
    assert plan is not None
    assert cheapest_objective(built.case, built.confidence, deadline) == plan.objective
    second = milliseconds(
        lambda: cheapest_objective(built.case, built.confidence, deadline), REPEATS
    )
    decide(snapshot)
    print(f"{'a typical job':<24}{'ms':>10}{'x second':>10}")
    show("its case", milliseconds(lambda: build(snapshot), REPEATS), second)
    show("one solve", milliseconds(lambda: solve(built.case, query), REPEATS), second)
    show("routes and frontier", milliseconds(lambda: decide(bare), REPEATS), second)
    show("the same over HTTP", over_http(quick), second)
    show("the answer", milliseconds(lambda: decide(snapshot), REPEATS), second)
    show("the answer over HTTP", over_http(members), second)
    show("second solver", second, second)


def over_http(members: dict[str, Any]) -> float:
    """Milliseconds from the request to the whole answer, of a server of its own."""
    body = json.dumps(members).encode()
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{folder}/bench.db"
        upgrade(url)
        sessions = Sessions(make_engine(url))
        with sessions.writing() as session:
            _, key = make_shop_and_key(session, "Workshop on the bench")
        sessions.close()
        headers = {"Authorization": f"Bearer {key}", "Content-Type": "application/json"}
        with (
            running_server(url, key, Path(folder) / "server.log") as base_url,
            httpx.Client(base_url=base_url, headers=headers, timeout=120) as client,
        ):

            def ask() -> None:
                answer = client.post("/v1/calculations/decision", content=body)
                assert answer.status_code == 200, answer.text

            ask()
            return milliseconds(ask, REPEATS)
