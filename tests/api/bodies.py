"""Bodies that the API takes, with only what is needed; a test changes what it is about."""

from itertools import count
from typing import Any

from litestar.testing import TestClient

_numbers = count(1)


def fresh(word: str) -> str:
    """A text that no other test has used."""
    return f"{word} {next(_numbers)}"


def assembly(**more: Any) -> dict[str, Any]:
    return {"maker": "Oakhollow Drives", "model": fresh("LF"), "kind": "reduction drive", **more}


def part(**more: Any) -> dict[str, Any]:
    return {
        "maker": "Oakhollow Drives",
        "number": fresh("OH"),
        "name": "Input bearing",
        "kind": "ball-bearing",
        **more,
    }


def money(amount: str, currency: str = "EUR") -> dict[str, str]:
    return {"amount": amount, "currency": currency}


def supplier(**more: Any) -> dict[str, Any]:
    return {"name": fresh("Plain Bearings"), "freight": money("9.50"), **more}


def settings(**more: Any) -> dict[str, Any]:
    return {
        "currency": "EUR",
        "pricing": {
            "labour_price_per_hour": money("78.00"),
            "labour_cost_per_hour": money("41.00"),
        },
        "warranty": {"warranty_hours": "500"},
        **more,
    }


def operation(assembly_id: str, **more: Any) -> dict[str, Any]:
    return {
        "assembly_id": assembly_id,
        "kind": "renew",
        "name": "Renew input bearing",
        "p50_hours": "0.6",
        "p90_hours": "0.9",
        "basis": "estimate",
        **more,
    }


def finding(unit_id: str, position_id: str, characteristic_id: str, **more: Any) -> dict[str, Any]:
    return {
        "unit_id": unit_id,
        "position_id": position_id,
        "characteristic_id": characteristic_id,
        "found_by": "bench two",
        "found_at": "2031-03-04T09:15:00+01:00",
        "method": "gauge",
        "measured": {"value": "19.998", "unit": "mm", "standard_uncertainty": "0.002"},
        **more,
    }


def offer(supplier_id: str, **more: Any) -> dict[str, Any]:
    return {
        "supplier_id": supplier_id,
        "kind": "goods",
        "description": "Ball bearing",
        "price": money("11.80"),
        "p50_days": "2",
        "p90_days": "4",
        "condition": "new",
        **more,
    }


def donor(assembly_id: str, **more: Any) -> dict[str, Any]:
    return {
        "assembly_id": assembly_id,
        "kind": "donor",
        "reason_retired": "wear",
        "released_on": "2031-02-11",
        "donor": {"is_owned": False, "price": money("120.00")},
        **more,
    }


class Shop:
    """A shop that calls with its own key; every record it creates has a fresh Idempotency-Key."""

    def __init__(self, client: TestClient[Any], token: str) -> None:
        self._client = client
        self.headers = {"Authorization": f"Bearer {token}"}

    def call(self, method: str, path: str, **more: Any) -> Any:
        """Call with the key; ``headers`` are added to it."""
        headers = {**self.headers, **more.pop("headers", {})}
        below = path if path.startswith(("/v1", "/health")) else "/v1" + path
        return self._client.request(method, below, headers=headers, **more)

    def get(self, path: str, **params: str) -> Any:
        return self.call("GET", path, params=params or None)

    def post(self, path: str, body: Any, key: str | None = None, **headers: str) -> Any:
        headers = {"Idempotency-Key": key or fresh("key").replace(" ", "-"), **headers}
        return self.call("POST", path, json=body, headers=headers)

    def make(self, path: str, body: Any) -> str:
        """Store a record that must be taken; its id."""
        answer = self.post(path, body)
        assert answer.status_code == 201, answer.text
        return str(answer.json()["id"])

    def raw(self, path: str, content: bytes, kind: str | None = "application/json") -> Any:
        """Post bytes as they are."""
        headers = {"Idempotency-Key": fresh("key").replace(" ", "-")}
        if kind is not None:
            headers["Content-Type"] = kind
        return self.call("POST", path, content=content, headers=headers)


def error_of(answer: Any, pointer: str) -> dict[str, Any]:
    """The one error at a pointer of a validation problem, whole in all its members."""
    assert answer.status_code == 422, answer.text
    assert answer.json()["type"] == "/problems/validation"
    found = [error for error in answer.json()["errors"] if error["pointer"] == pointer]
    assert found, answer.json()["errors"]
    for member in ("code", "detail", "fix"):
        assert found[0][member]
    return dict(found[0])
