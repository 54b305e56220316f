"""What was found on a unit, recorded in one call: all of it or nothing, and once."""

from threading import Thread
from typing import Any

import pytest

from tests.api.bodies import Shop, error_of, fresh
from tests.api.test_findings import READ_AT, Bench, mm


@pytest.fixture
def bench(shop: Shop) -> Bench:
    return Bench(shop)


def item(bench: Bench, client_id: str, **more: Any) -> dict[str, Any]:
    shared = ("unit_id", "found_by", "found_at")
    body = {name: one for name, one in bench.body(**more).items() if name not in shared}
    return {**body, "client_id": client_id, **{n: more[n] for n in shared if n in more}}


def record(bench: Bench, items: list[dict[str, Any]], key: str | None = None, **head: Any) -> Any:
    body = {"found_by": "bench two", "found_at": READ_AT, "items": items, **head}
    return bench.shop.post(f"/units/{bench.unit}/findings", body, key)


def count(bench: Bench) -> int:
    return len(bench.shop.get("/findings", limit="200").json()["items"])


def test_findings_of_one_look_are_stored_in_their_order(bench: Bench) -> None:
    items = [
        item(bench, "a/1"),
        item(bench, "a/2", characteristic_id=bench.scoring, measured=None, grade="none",
             method="by-eye", found_by="bench one"),
        item(bench, "a/3", found_at="2026-02-17T09:00:00Z", supersedes_client_id="a/1"),
    ]  # fmt: skip
    answer = record(bench, items, unit_hours="1480")
    assert answer.status_code == 201
    assert answer.json()["unit_id"] == bench.unit
    told = answer.json()["items"]
    assert [(one["client_id"], one["is_new"]) for one in told] == [
        ("a/1", True), ("a/2", True), ("a/3", True),
    ]  # fmt: skip
    stored = [bench.shop.get(f"/findings/{one['id']}").json() for one in told]
    assert [one["found_by"] for one in stored] == ["bench two", "bench one", "bench two"]
    assert [one["found_at"] for one in stored] == [READ_AT, READ_AT, "2026-02-17T09:00:00Z"]
    assert {one["unit_hours"] for one in stored} == {"1480"}
    assert stored[2]["supersedes_id"] == stored[0]["id"]
    assert [one["id"] for one in stored] == sorted(one["id"] for one in stored)
    for one in stored:
        entries = bench.shop.get("/audit-entries", record_id=one["id"]).json()["items"]
        assert [entry["action"] for entry in entries] == ["create"]


def test_what_is_sent_twice_is_stored_once(bench: Bench) -> None:
    items = [item(bench, f"a/{n}") for n in range(3)]
    items[2]["supersedes_client_id"] = "a/0"
    key = fresh("key").replace(" ", "-")
    first = record(bench, items, key)
    same = record(bench, items, key)
    assert (same.status_code, same.json()) == (201, first.json())
    assert same.headers["answer-repeated"] == "true"
    # Under another key, with one more: what is known is told, what is new is stored.
    again = record(bench, [*items, item(bench, "a/9")])
    assert again.status_code == 201
    ids = [one["id"] for one in first.json()["items"]]
    assert [one["id"] for one in again.json()["items"]][:3] == ids
    assert [one["is_new"] for one in again.json()["items"]] == [False, False, False, True]
    nothing = record(bench, items)
    assert nothing.status_code == 200
    assert count(bench) == 4


def test_all_or_nothing(bench: Bench) -> None:
    good = item(bench, "a/1")
    for bad, pointer, code in (
        (item(bench, "a/2", piece=3), "/items/1/piece", "out-of-range"),
        (item(bench, "a/2", measured={"value": "1", "unit": "kg"}), "/items/1/measured/unit",
         "unit-wrong-dimension"),
        (item(bench, "a/2", measured=None), "/items/1/measured", "measured-or-graded"),
        (item(bench, "a/2", supersedes_client_id="b/7"), "/items/1/supersedes_client_id",
         "reference-unknown"),
        (item(bench, "a/2", supersedes_client_id="a/2"), "/items/1/supersedes_client_id",
         "reference-unknown"),
        (item(bench, "a/2", supersedes_client_id="a/1", supersedes_id="fnd_1"),
         "/items/1/supersedes_client_id", "supersedes-twice"),
        (item(bench, "a/1"), "/items/1/client_id", "repeated"),
        (item(bench, "a/2", gauge="x", gauge_calibrated_on="2026-02-19"),
         "/items/1/gauge_calibrated_on", "calibrated-after"),
        (item(bench, "a/2", found_at="2199-01-01T00:00:00Z"), "/items/1/found_at", "out-of-range"),
    ):  # fmt: skip
        assert error_of(record(bench, [good, bad]), pointer)["code"] == code, pointer
    without = {name: value for name, value in good.items() if name != "client_id"}
    assert error_of(record(bench, [without]), "/items/0/client_id")["code"] == "missing"
    assert error_of(record(bench, []), "/items")["code"] == "too-few"
    assert count(bench) == 0


def test_what_an_item_leaves_to_the_head_is_refused_at_the_head(bench: Bench) -> None:
    ahead = record(bench, [item(bench, "a/1")], found_at="2199-01-01T00:00:00Z")
    assert error_of(ahead, "/found_at")["code"] == "out-of-range"
    bench.make(unit_hours="1000", found_at="2026-02-01T08:00:00Z")
    hours = record(bench, [item(bench, "a/1")], unit_hours="900")
    assert error_of(hours, "/unit_hours")["code"] == "hours-backwards"
    own = record(bench, [item(bench, "a/1", unit_hours="900")])
    assert error_of(own, "/items/0/unit_hours")["code"] == "hours-backwards"


def test_a_client_id_that_says_something_else_is_told_by_item(bench: Bench) -> None:
    stored = record(bench, [item(bench, "a/1")]).json()["items"][0]["id"]
    other = item(bench, "a/1", note="Blued", measured=mm("19.9"))
    answer = record(bench, [item(bench, "a/2"), other])
    assert answer.status_code == 409
    assert answer.json()["type"] == "/problems/duplicate-client-id"
    assert answer.json()["existing_id"] == stored
    assert sorted(answer.json()["differs_at"]) == ["/items/1/measured", "/items/1/note"]
    assert count(bench) == 1


def test_a_superseded_finding_is_not_superseded_again(bench: Bench) -> None:
    first = item(bench, "a/1")
    record(bench, [first, item(bench, "a/2", supersedes_client_id="a/1")])
    standing = bench.shop.get("/findings", sort="created_at").json()["items"][-1]["id"]
    answer = record(bench, [first, item(bench, "a/3", supersedes_client_id="a/1")])
    assert answer.status_code == 409
    assert answer.json()["type"] == "/problems/duplicate"
    assert answer.json()["existing_id"] == standing
    assert "/items/1" in answer.json()["detail"]
    assert count(bench) == 2


def test_the_unit_is_the_shops_own(bench: Bench, other_shop: Shop) -> None:
    body = {"found_by": "x", "found_at": READ_AT, "items": [item(bench, "a/1")]}
    assert other_shop.post(f"/units/{bench.unit}/findings", body).status_code == 404
    assert bench.shop.post("/units/unt_none/findings", body).status_code == 404


@pytest.mark.engines("postgresql")
def test_callers_who_send_the_same_at_once_store_it_once(bench: Bench) -> None:
    """One of them in the other order: neither holds what the other waits for."""
    statuses: list[int] = []

    def send(items: list[dict[str, Any]]) -> None:
        statuses.append(record(bench, items).status_code)

    for turn in range(4):
        items = [item(bench, f"{turn}/{n}") for n in range(10)]
        callers = [Thread(target=send, args=(some,)) for some in (items, items[::-1], items)]
        for caller in callers:
            caller.start()
        for caller in callers:
            caller.join()
    assert sorted(statuses) == [200] * 8 + [201] * 4
    assert count(bench) == 40


@pytest.mark.engines("sqlite")
def test_five_hundred_at_once(bench: Bench) -> None:
    items = [item(bench, f"a/{n}") for n in range(500)]
    items[499]["supersedes_client_id"] = "a/0"
    answer = record(bench, items)
    assert answer.status_code == 201, answer.text
    assert [one["client_id"] for one in answer.json()["items"]] == [f"a/{n}" for n in range(500)]
    too_many = record(bench, [*items, item(bench, "a/500")])
    assert error_of(too_many, "/items")["code"] == "too-many"
