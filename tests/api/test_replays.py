"""A kept decision, computed again: it agrees, or tells why and where it does not."""

import hashlib
import json
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from api.app import Api
from api.demo.records import seed_folder
from api.schemas.base import to_domain
from api.schemas.decision import Matter, SnapshotBody
from db.ids import new_id
from db.models.access import keys
from db.models.decision import jobs
from db.queries.access import Principal
from db.queries.decision import store_decision
from shared.decision.codec import to_bytes
from shared.decision.decide import ENGINE_VERSION, decide
from shared.decision.frozen import FrozenDecision
from shared.decision.snapshot import Asked, Snapshot
from tests.api import bodies
from tests.api.bodies import Shop

Keep = Callable[[FrozenDecision], Any]
OF_BEFORE = Path(__file__).with_name("stored_before.json")
"""Snapshot and result as the release before orders, packs and rates stored them."""


@pytest.fixture(scope="module")
def whole() -> FrozenDecision:
    """A decision on the small snapshot of the API's document, of now."""
    body = json.loads((seed_folder() / "whole-snapshot.json").read_text("utf-8"))
    snapshot: Snapshot = to_domain(SnapshotBody.model_validate(body), Snapshot)
    snapshot = replace(snapshot, asked=Asked(1, break_evens=0, settlings=0))
    text, result = to_bytes(snapshot).decode(), decide(snapshot)
    return frozen(text, to_bytes(result).decode(), result.recommended, result.engine_version)


def frozen(snapshot: str, result: str, plan_id: str | None, engine: str) -> FrozenDecision:
    return FrozenDecision(
        id="",
        job_id="",
        as_of=datetime(2031, 3, 3, 7, 30, tzinfo=UTC),
        plan_id=plan_id or "",
        recommended_plan_id=plan_id,
        is_override=False,
        decided_by="service desk",
        reason=None,
        engine_version=engine,
        snapshot_hash=hashlib.sha256(snapshot.encode()).hexdigest(),
        snapshot_json=snapshot,
        result_json=result,
    )


@pytest.fixture
def keep(app: Api, shop: Shop) -> Keep:
    """Keep a decision on a job of the shop; gives its id."""
    unit = {"assembly_id": shop.make("/assemblies", bodies.assembly()), "kind": "customer"}
    job_id = shop.make("/jobs", {"unit_id": shop.make("/units", unit), "complaint": "Noisy."})

    def store(decision: FrozenDecision) -> str:
        kept = replace(decision, id=new_id("dec"), job_id=job_id)
        with app.state.sessions.writing() as session:
            shop_id = session.execute(select(jobs.c.shop_id).where(jobs.c.id == job_id)).scalar()
            key = select(keys.c.id).where(keys.c.shop_id == shop_id)
            key_id = session.execute(key).scalar_one()
            caller = Principal(shop_id, "Invented workshop", key_id, "admin")
            store_decision(session, caller, kept)
        return kept.id

    return store


def replayed(shop: Shop, decision_id: str) -> dict[str, Any]:
    answer = shop.call("POST", f"/decisions/{decision_id}/replays")
    assert answer.status_code == 200, answer.text
    return dict(answer.json())


def spoilt(decision: FrozenDecision, spoil: Callable[[dict[str, Any]], None]) -> FrozenDecision:
    result = json.loads(decision.result_json)
    spoil(result)
    return replace(decision, result_json=json.dumps(result))


def test_what_comes_out_the_same_has_no_cause(
    shop: Shop, keep: Keep, whole: FrozenDecision
) -> None:
    told = replayed(shop, keep(whole))
    assert (told["agrees"], told["cause"], told["differences"]) == (True, "none", [])
    assert f"engine {ENGINE_VERSION}" in told["explanation"]


def test_how_long_was_searched_is_no_part_of_the_answer(
    shop: Shop, keep: Keep, whole: FrozenDecision
) -> None:
    def on_another_machine(result: dict[str, Any]) -> None:
        result["effort"] |= {"used": "17.5", "solves": 3}

    assert replayed(shop, keep(spoilt(whole, on_another_machine)))["agrees"] is True

    def told_less(result: dict[str, Any]) -> None:
        result["effort"]["left_out"] = ["something"]

    told = replayed(shop, keep(spoilt(whole, told_less)))
    assert [one["pointer"] for one in told["differences"]] == ["/effort/left_out/0"]


def _otherwise(result: dict[str, Any]) -> None:
    result["aim"] = "cost"
    result["plans"][0]["readiness"]["promise_on"] = "2031-12-24"
    result["plans"][0]["to_pay"]["amount"] = "1.00"
    result["recommended"] = "pln_other"


def test_a_result_changed_behind_the_engines_back_is_told_what_matters_first(
    shop: Shop, keep: Keep, whole: FrozenDecision
) -> None:
    told = replayed(shop, keep(spoilt(whole, _otherwise)))
    assert (told["agrees"], told["cause"]) == (False, "same-engine")
    assert "stored result was changed" in told["explanation"]
    assert [(one["matter"], one["pointer"]) for one in told["differences"]] == [
        ("recommended-plan", "/recommended"),
        ("total", "/plans/0/to_pay/amount"),
        ("date", "/plans/0/readiness/promise_on"),
        ("other", "/aim"),
    ]


def test_plans_and_routes_are_compared_with_themselves_in_whatever_order(
    shop: Shop, keep: Keep, whole: FrozenDecision
) -> None:
    def turned(result: dict[str, Any]) -> None:
        result["plans"].reverse()
        result["routes"].reverse()
        result["plans"].append({**result["plans"][0], "id": "pln_gone"})

    told = replayed(shop, keep(spoilt(whole, turned)))
    last = len(json.loads(whole.result_json)["plans"])
    assert [one["pointer"] for one in told["differences"]] == [f"/plans/{last}"]
    assert told["differences"][0]["replayed"] is None


def test_another_engine_is_told_with_both_versions(
    shop: Shop, keep: Keep, whole: FrozenDecision
) -> None:
    def of_then(result: dict[str, Any]) -> None:
        result["engine_version"] = "0"
        result["plans"][0]["to_pay"]["amount"] = "1.00"

    told = replayed(shop, keep(replace(spoilt(whole, of_then), engine_version="0")))
    assert (told["agrees"], told["cause"]) == (False, "engine-changed")
    assert [one["matter"] for one in told["differences"]] == ["total"]
    assert "engine 0" in told["explanation"]
    assert f"engine {ENGINE_VERSION}" in told["explanation"]
    assert (told["stored_engine_version"], told["engine_version"]) == ("0", ENGINE_VERSION)


def test_another_solver_is_another_engine(shop: Shop, keep: Keep, whole: FrozenDecision) -> None:
    effort = {"used": "1", "limit": "20", "solves": 1, "gap": None, "left_out": []}

    def of_then(result: dict[str, Any]) -> None:
        result["effort"] = {**effort, "solver": "solver 1.0"}
        result["recommended"] = "pln_other"

    told = replayed(shop, keep(spoilt(whole, of_then)))
    assert told["stored_solver"] == "solver 1.0"
    assert "solver 1.0" in told["explanation"]
    if told["solver"] is not None:
        assert told["cause"] == "engine-changed"
        assert [one["pointer"] for one in told["differences"]] == ["/recommended"]


@pytest.mark.parametrize("change", [("Howls", "Hums"), ('{"aim"', '{"aim')])
def test_a_damaged_snapshot_is_told_before_all_else(
    shop: Shop, keep: Keep, whole: FrozenDecision, change: tuple[str, str]
) -> None:
    damaged = whole.snapshot_json.replace(*change)
    if damaged == whole.snapshot_json:
        damaged = whole.snapshot_json.replace('"complaint":"', '"complaint":"X', 1)
    told = replayed(shop, keep(replace(whole, snapshot_json=damaged)))
    assert (told["agrees"], told["cause"]) == (False, "snapshot-damaged")
    assert told["snapshot_is_intact"] is False
    assert told["snapshot_hash"] != whole.snapshot_hash
    assert "was changed since" in told["explanation"]


def test_a_snapshot_that_is_refused_now_is_told_so(
    shop: Shop, keep: Keep, whole: FrozenDecision
) -> None:
    snapshot = json.loads(whole.snapshot_json)
    snapshot["settings"]["calendar"]["bench_hours_per_day"] = "25"
    text = json.dumps(snapshot)
    digest = hashlib.sha256(text.encode()).hexdigest()
    refused = replace(whole, snapshot_json=text, snapshot_hash=digest, engine_version="0")
    told = replayed(shop, keep(refused))
    assert (told["agrees"], told["cause"], told["differences"]) == (False, "engine-changed", [])
    assert "/settings/calendar/bench_hours_per_day" in told["explanation"]


def test_a_decision_of_the_release_before_is_read_and_replayed(shop: Shop, keep: Keep) -> None:
    """Its text lacks all that came since; what it stands for then is what it stood for."""
    stored = json.loads(OF_BEFORE.read_text("utf-8"))
    result = json.loads(stored["result"])
    assert "alternatives" not in result
    assert "asked" not in json.loads(stored["snapshot"])
    decision_id = keep(frozen(stored["snapshot"], stored["result"], result["recommended"], "1"))
    read = shop.get(f"/decisions/{decision_id}")
    assert read.status_code == 200, read.text
    assert read.json()["snapshot"]["exchange_rates"] == []
    assert read.json()["snapshot"]["suppliers"][0]["below_minimum"] == "top-up"
    assert read.json()["result"]["alternatives"] == []
    assert read.json()["result"]["plans"][0]["to_pay"] == result["plans"][0]["to_pay"]
    again = shop.call("POST", "/calculations/decision", json=read.json()["snapshot"])
    assert again.status_code == 200, again.text
    told = replayed(shop, decision_id)
    assert told["snapshot_is_intact"] is True
    assert told["cause"] in ("none", "engine-changed")
    assert told["agrees"] is (told["cause"] == "none")
    assert "Not worked out then, and not compared: alternatives" in told["explanation"]
    matters = [list(Matter).index(one["matter"]) for one in told["differences"]]
    assert matters == sorted(matters)
    assert not {one["matter"] for one in told["differences"]} & {"recommended-plan", "date"}
