"""Every entry of the catalogue is provoked; every problem has its page and the same form."""

import asyncio
import sqlite3
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from litestar.testing import TestClient
from sqlalchemy.exc import OperationalError

from api import app as app_module
from api import slow
from api.app import Api, create_app
from api.demo.load import load_scenario
from api.problems import CATALOGUE
from api.rate import RateLimiter
from api.routes import decision, health, records
from api.settings import BODY_LIMIT, Limits, Settings
from db.engine import DatabaseBusy
from db.models.access import keys
from db.queries import access
from db.queries.access import now
from tests.api import bodies
from tests.api.bodies import Shop
from tests.api.conftest import make_shop

SUPPLIER = bodies.supplier(name="Said once")


def duplicate(shop: Shop, _: pytest.MonkeyPatch) -> Any:
    body = bodies.part()
    shop.make("/parts", body)
    return shop.post("/parts", body)


def other_client_id(shop: Shop, _: pytest.MonkeyPatch) -> Any:
    assembly = shop.make("/assemblies", bodies.assembly())
    position = shop.make("/positions", {"assembly_id": assembly, "name": "Shaft"})
    seat = {"position_id": position, "name": "Seat", "unit": "mm"}
    found = bodies.finding(
        shop.make("/units", {"assembly_id": assembly, "kind": "customer"}),
        position,
        shop.make("/characteristics", seat),
        client_id="tablet-3/118",
    )
    shop.make("/findings", found)
    return shop.post("/findings", {**found, "note": "Said otherwise."})


def reused(shop: Shop, _: pytest.MonkeyPatch) -> Any:
    shop.post("/suppliers", bodies.supplier(), key="one")
    return shop.post("/suppliers", bodies.supplier(), key="one")


def in_progress(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> Any:
    def wait_for_ever(*_: Any, **__: Any) -> None:
        cause = sqlite3.OperationalError("secret words of the driver")
        cause.sqlstate = "55P03"  # as PostgreSQL says that a lock was waited for too long
        raise OperationalError("INSERT INTO hidden", {}, cause)

    monkeypatch.setattr(access, "insert_new", wait_for_ever)
    return shop.post("/suppliers", SUPPLIER)


def in_use(shop: Shop, _: pytest.MonkeyPatch) -> Any:
    supplier = shop.make("/suppliers", bodies.supplier())
    part = shop.make("/parts", bodies.part())
    shop.make("/offers", bodies.offer(supplier, part_id=part))
    return shop.call("DELETE", f"/suppliers/{supplier}", headers={"If-Match": '"1"'})


def stale(shop: Shop, _: pytest.MonkeyPatch) -> Any:
    supplier = shop.make("/suppliers", bodies.supplier())
    return shop.call("DELETE", f"/suppliers/{supplier}", headers={"If-Match": '"2"'})


def reserved_twice(shop: Shop, _: pytest.MonkeyPatch) -> Any:
    part, job = bodies.shelved_part(shop)
    shop.make("/reservations", bodies.reservation(part, job))
    return shop.post("/reservations", bodies.reservation(part, job))


def no_settings(shop: Shop, _: pytest.MonkeyPatch) -> Any:
    assembly = shop.make("/assemblies", bodies.assembly())
    unit = shop.make("/units", {"assembly_id": assembly, "kind": "customer"})
    job = shop.make("/jobs", {"unit_id": unit, "complaint": "Noisy."})
    return shop.get(f"/jobs/{job}/options", as_of="2031-03-04T09:15:00Z")


def lapsed_offer(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> Any:
    client = shop._client
    client.headers.update(shop.headers)
    try:
        load_scenario(client)
    finally:
        client.headers.pop("Authorization")
    job = shop.get("/jobs").json()["items"][1]["id"]
    as_of = "2031-03-04T09:15:00Z"
    options = shop.get(f"/jobs/{job}/options", as_of=as_of, break_evens="0", settlings="0").json()
    with monkeypatch.context() as later:
        later.setattr(decision, "now", lambda: datetime(2031, 7, 1, 9, tzinfo=UTC))
        asked = {"break_evens": 0, "settlings": 0}
        choice = {"plan_id": options["recommended"], "decided_by": "desk", "as_of": as_of}
        return shop.post(f"/jobs/{job}/decisions", {**choice, "asked": asked})


def failing(error: Exception) -> Callable[[Shop, pytest.MonkeyPatch], Any]:
    def provoke(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> Any:
        def fail(*_: Any) -> None:
            raise error

        monkeypatch.setattr(records, "page", fail)
        return shop.get("/suppliers")

    return provoke


def database_error(name: str) -> OperationalError:
    cause = sqlite3.OperationalError("secret words of the driver")
    cause.sqlite_errorname = name
    return OperationalError("SELECT secret FROM hidden", {}, cause)


def over_the_limit(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> Any:
    limiter = RateLimiter(Limits(requests_per_key=1, requests_per_peer=1), time.monotonic)
    monkeypatch.setitem(shop._client.app.state._state, "limiter", limiter)
    assert shop.get("/units").status_code == 200
    return shop.get("/units")


def slow_body(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> Any:
    async def nothing_comes() -> Any:
        await asyncio.get_running_loop().create_future()

    def impatient(_: Any, limits: Limits, memory: Any) -> slow.Body:
        return slow.Body(nothing_comes, replace(limits, body_gap_s=0.01), memory)

    monkeypatch.setattr(app_module, "Body", impatient)
    return shop.post("/suppliers", SUPPLIER)


PROVOKED: dict[str, Callable[[Shop, pytest.MonkeyPatch], Any]] = {
    "bad-request": lambda shop, _: shop.call("GET", "/units", headers={"Host": "a b/c"}),
    "malformed-body": lambda shop, _: shop.raw("/suppliers", b"{"),
    "cursor-invalid": lambda shop, _: shop.get("/units", cursor="forged"),
    "idempotency-key-missing": lambda shop, _: shop.call("POST", "/suppliers", json=SUPPLIER),
    "unauthenticated": lambda shop, _: shop._client.get("/v1/units"),
    "not-found": lambda shop, _: shop.get("/units/none"),
    "method-not-allowed": lambda shop, _: shop.call("PUT", "/units"),
    "not-acceptable": lambda shop, _: shop.call("GET", "/units", headers={"Accept": "a/b"}),
    "state-conflict": no_settings,
    "duplicate": duplicate,
    "duplicate-client-id": other_client_id,
    "offer-lapsed": lapsed_offer,
    "already-reserved": reserved_twice,
    "idempotency-in-progress": in_progress,
    "in-use": in_use,
    "stale-version": stale,
    "precondition-required": lambda shop, _: shop.call("DELETE", "/suppliers/sup_1"),
    "body-too-large": lambda shop, _: shop.raw("/suppliers", b" " * (BODY_LIMIT + 1)),
    "media-type": lambda shop, _: shop.raw("/suppliers", b"{}", "text/plain"),
    "validation": lambda shop, _: shop.post("/suppliers", {}),
    "unknown-parameter": lambda shop, _: shop.get("/units", colour="red"),
    "idempotency-key-reused": reused,
    "rate-limited": over_the_limit,
    "request-timeout": slow_body,
    "internal": failing(RuntimeError("secret /path/of/ours")),
    "busy": failing(DatabaseBusy()),
    "storage-full": failing(database_error("SQLITE_FULL")),
    "database-away": failing(database_error("SQLITE_CANTOPEN")),
}


@pytest.mark.parametrize("name", PROVOKED)
def test_every_problem_has_one_form(shop: Shop, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    answer = PROVOKED[name](shop, monkeypatch)
    check_form(answer, name)


def test_another_shop_changes_no_entry_of_the_catalogue(shop: Shop, other_shop: Shop) -> None:
    where = f"/parts/{shop.make('/parts', bodies.part())}"
    answer = other_shop.call("DELETE", where, headers={"If-Match": '"1"'})
    check_form(answer, "not-the-author")


def test_a_reader_is_forbidden_to_write(reader: Shop) -> None:
    check_form(reader.post("/suppliers", SUPPLIER), "forbidden")


def check_form(answer: Any, name: str) -> None:
    problem = CATALOGUE[name]
    assert answer.status_code == problem.status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    body = answer.json()
    assert body["type"] == f"/problems/{name}"
    assert body["title"] == problem.title
    assert body["status"] == problem.status
    assert body["detail"]
    assert body["fix"]
    assert body["request_id"] == answer.headers["x-request-id"]
    if problem.status in (429, 503):
        assert answer.headers["retry-after"] == str(body["retry_after_s"])
    for secret in ("secret", "Traceback", "SELECT", "sqlite", "Error:", ".py"):
        assert secret not in answer.text


def test_the_whole_catalogue_is_provoked() -> None:
    assert set(PROVOKED) | {"forbidden", "not-the-author"} == set(CATALOGUE)


def test_every_problem_has_its_page(client: TestClient[Any]) -> None:
    for problem in CATALOGUE.values():
        answer = client.get(problem.uri)
        assert answer.status_code == 200
        assert answer.headers["content-type"].startswith("text/plain")
        assert problem.title in answer.text
        assert problem.mend in answer.text


def test_a_database_without_tables_is_away_but_health_answers(tmp_path: Path) -> None:
    app = create_app(Settings(f"sqlite:///{tmp_path}/empty.db"))
    with TestClient(app) as client:
        answer = client.get("/v1/units", headers={"Authorization": "Bearer cw_x"})
        check_form(answer, "database-away")
        health = client.get("/health").json()
        assert health["database"]["revision"] is None


def test_a_handler_without_a_right_stops_the_start_up(
    app: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delitem(health.read_health.opt, "right")
    with pytest.raises(RuntimeError, match="declares no right"):
        create_app(app.state.settings)


def test_a_revoked_key_is_out_at_once(app: Api, client: TestClient[Any]) -> None:
    shop = make_shop(app, client, "Shop that lost its key")
    assert shop.get("/units").status_code == 200
    with app.state.sessions.writing() as session:
        found = session.execute(keys.select().order_by(keys.c.id.desc())).first()
        session.execute(keys.update().where(keys.c.id == found.id).values(revoked_at=now()))
    check_form(shop.get("/units"), "unauthenticated")
