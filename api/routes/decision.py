"""Options of a job, choices kept for good, replays, and the decision computed from a snapshot.

A computation never holds a write transaction: the snapshot is read, the session closed, then the
plans are computed; only the choice is written.
"""

import json
from datetime import UTC, datetime
from typing import Any

from litestar import Request, Response, get, post
from litestar.params import FromPath, JSONBody
from sqlalchemy.orm import Session

from api.access import Right, caller_of, needs, sessions_of
from api.answers import head_members, json_response, plain_members, record_response, to_json
from api.choice import freeze
from api.customer import customer_options
from api.idempotency import Made, Once
from api.lanes import given_up
from api.lists import list_response
from api.replay import replay
from api.schemas.base import to_domain
from api.schemas.customer import CustomerOptions
from api.schemas.decision import (
    DecisionCreate,
    DecisionHead,
    DecisionRead,
    ReplayAnswer,
    SnapshotBody,
)
from api.schemas.queries import CustomerOptionsQuery, OptionsQuery, list_query
from api.settings import SNAPSHOT_LIMIT
from db.ids import new_id
from db.queries.access import now
from db.queries.decision import page_decisions, read_decision, store_decision
from db.queries.listing import Place
from db.queries.mapping import Stored
from db.queries.records import lists_of
from db.queries.snapshot import load_snapshot
from shared.decision.codec import from_builtins, snapshot_from_bytes
from shared.decision.decide import decide
from shared.decision.frozen import FrozenDecision
from shared.decision.result import DecisionResult
from shared.decision.snapshot import Asked, Snapshot
from shared.sourcing.calendar import local_time

TAG = "decision"
AnyRequest = Request[Any, Any, Any]

_DECISIONS = list_query("DecisionQuery", DecisionHead, lists_of(FrozenDecision), has_changes=True)


@get(
    "/jobs/{job_id:str}/options",
    operation_id="readOptions",
    summary="Every way to get the customer going again, side by side",
    tags=[TAG],
    sync_to_thread=True,
    opt={
        **needs(Right.READ),
        "query": OptionsQuery,
        "answer": DecisionResult,
        "problems": ("state-conflict",),  # no settings, so nothing is worked out
    },
)
def read_options(job_id: FromPath[str], request: AnyRequest) -> Response[bytes]:
    """Compute the options of a job from what is stored, as of the moment asked or of now."""
    query = OptionsQuery.model_validate(dict(request.query_params.items()))
    as_of = query.as_of or datetime.now(UTC).replace(microsecond=0)
    with sessions_of(request).reading() as session:
        snapshot = load_snapshot(
            session, caller_of(request), job_id, as_of, query.aim, query.asked()
        )
    return json_response(plain_members(decide(snapshot, is_cancelled=given_up())))


@get(
    "/jobs/{job_id:str}/customer-options",
    operation_id="readCustomerOptions",
    summary="The options of a job as the customer may see them",
    tags=[TAG],
    sync_to_thread=True,
    opt={
        **needs(Right.READ),
        "query": CustomerOptionsQuery,
        "answer": CustomerOptions,
        "problems": ("state-conflict",),
    },
)
def read_customer_options(job_id: FromPath[str], request: AnyRequest) -> Response[bytes]:
    """Compute the options of a job, and tell those in time without cost, margin and supplier."""
    query = CustomerOptionsQuery.model_validate(dict(request.query_params.items()))
    as_of = query.as_of or datetime.now(UTC).replace(microsecond=0)
    asked = Asked(break_evens=0, settlings=0, has_extras=False)
    with sessions_of(request).reading() as session:
        snapshot = load_snapshot(session, caller_of(request), job_id, as_of, query.aim, asked)
    told = customer_options(snapshot, decide(snapshot, is_cancelled=given_up()))
    return json_response(plain_members(told.model_dump()))


@post(
    "/calculations/decision",
    operation_id="calculateDecision",
    summary="Every way to get the customer going again, from a whole snapshot",
    tags=[TAG],
    status_code=200,
    sync_to_thread=True,
    request_max_body_size=SNAPSHOT_LIMIT,
    opt={**needs(Right.CALCULATE), "answer": DecisionResult},
)
def calculate_decision(data: JSONBody[SnapshotBody]) -> Response[bytes]:
    """Compute the options of a job from a snapshot sent whole; nothing is stored."""
    result = decide(to_domain(data, Snapshot), is_cancelled=given_up())
    return json_response(plain_members(result))


@post(
    "/jobs/{job_id:str}/decisions",
    operation_id="createDecision",
    summary="Keep a choice among the options of a job",
    tags=[TAG],
    sync_to_thread=True,
    opt={
        **needs(Right.WRITE),
        "answer": DecisionRead,
        "stores": True,
        "problems": ("offer-lapsed",),
    },
)
def create_decision(
    job_id: FromPath[str], data: JSONBody[DecisionCreate], request: AnyRequest
) -> Response[bytes]:
    """Freeze a choice: inputs, plans, the one chosen, by whom, why."""
    once = Once.of(request)
    kept = once.answered()
    if kept is not None:
        return kept
    with sessions_of(request).reading() as session:
        snapshot = load_snapshot(
            session,
            caller_of(request),
            job_id,
            data.as_of,
            data.aim,
            to_domain(data.asked, Asked),
        )
    chosen = freeze(
        new_id("dec"),
        snapshot,
        decide(snapshot),
        plan_id=data.plan_id,
        decided_by=data.decided_by,
        reason=data.reason,
        expected_hash=data.snapshot_hash,
        today=local_time(now(), snapshot.settings.calendar).date(),
    )

    def work(session: Session) -> Made:
        store_decision(session, caller_of(request), chosen)
        stored = read_decision(session, caller_of(request), chosen.id)
        body = to_json(decision_members(stored))
        return Made(f"/v1/decisions/{chosen.id}", stored.version, body)

    return once.store(work)


@get(
    "/decisions",
    operation_id="listDecisions",
    summary="List kept decisions",
    tags=[TAG],
    sync_to_thread=True,
    opt={
        **needs(Right.READ),
        "query": _DECISIONS,
        "items": DecisionHead,
        "has_changes": True,
    },
)
def list_decisions(request: AnyRequest) -> Response[bytes]:
    """List kept decisions by rising id, without their results."""

    def load(place: Place) -> list[Stored[FrozenDecision]]:
        with sessions_of(request).reading() as session:
            return page_decisions(session, caller_of(request), place)

    return list_response(request, _DECISIONS, load, decision_head, FrozenDecision)


@get(
    "/decisions/{record_id:str}",
    operation_id="readDecision",
    summary="Read a kept decision",
    tags=[TAG],
    sync_to_thread=True,
    opt={**needs(Right.READ), "answer": DecisionRead, "has_etag": True},
)
def read_one_decision(record_id: FromPath[str], request: AnyRequest) -> Response[Any]:
    """Read a decision with the whole answer that it was chosen from."""
    with sessions_of(request).reading() as session:
        stored = read_decision(session, caller_of(request), record_id)
    return record_response(
        decision_members(stored), stored.version, request.headers.get("if-none-match")
    )


@post(
    "/decisions/{record_id:str}/replays",
    operation_id="replayDecision",
    summary="Compute a kept decision again from its snapshot",
    tags=[TAG],
    status_code=200,
    sync_to_thread=True,
    opt={**needs(Right.READ), "answer": ReplayAnswer},
)
def replay_decision(record_id: FromPath[str], request: AnyRequest) -> ReplayAnswer:
    """Say whether a decision, computed again from its stored snapshot, comes out the same."""
    with sessions_of(request).reading() as session:
        stored = read_decision(session, caller_of(request), record_id)
    return replay(stored.record, given_up())


def decision_head(stored: Stored[FrozenDecision]) -> dict[str, Any]:
    """Return the members of a kept decision without its result."""
    members = plain_members(stored.record)
    del members["snapshot_json"], members["result_json"]
    return {"id": members.pop("id"), **head_members(stored), **members}


def decision_members(stored: Stored[FrozenDecision]) -> dict[str, Any]:
    """Return the members of a kept decision with its inputs and its result."""
    snapshot = snapshot_from_bytes(stored.record.snapshot_json.encode())
    result = from_builtins(json.loads(stored.record.result_json), DecisionResult)
    return {
        **decision_head(stored),
        "snapshot": plain_members(snapshot),
        "result": plain_members(result),
    }


ROUTES = (
    read_options,
    read_customer_options,
    create_decision,
    list_decisions,
    read_one_decision,
    replay_decision,
)
CALCULATION_ROUTES = (calculate_decision,)
