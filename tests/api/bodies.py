"""Bodies that the API takes, with only what is needed; a test changes what it is about."""

from datetime import timedelta
from itertools import count
from typing import Any

from litestar.testing import TestClient

from db.queries.access import now

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
        "found_at": "2026-02-17T09:15:00+01:00",
        "method": "gauge",
        "measured": {"value": "19.998", "unit": "mm", "standard_uncertainty": "0.002"},
        **more,
    }


def gauge(**more: Any) -> dict[str, Any]:
    return {
        "name": fresh("Outside micrometer 0-25"),
        "kind": "outside-micrometer",
        "standard_uncertainty": {"value": "0.003", "unit": "mm"},
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


def exchange_rate(**more: Any) -> dict[str, Any]:
    return {
        "currency": "SEK",
        "in_currency": "EUR",
        "rate": "0.0874",
        "holds_from": "2026-03-02",
        "source": "Bank's selling rate",
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


def salvaged_part(donor_unit_id: str, position_id: str, **more: Any) -> dict[str, Any]:
    return {
        "donor_unit_id": donor_unit_id,
        "position_id": position_id,
        "removed_on": "2026-02-18",
        "removed_by": "bench two",
        "label": fresh("S"),
        "state": "shelved",
        "inspected_by": "bench one",
        "inspected_on": "2026-02-19",
        **more,
    }


def reservation(salvaged_part_id: str, job_id: str, **more: Any) -> dict[str, Any]:
    return {
        "salvaged_part_id": salvaged_part_id,
        "job_id": job_id,
        "reserved_by": "service desk",
        "expires_at": f"{now() + timedelta(days=7):%Y-%m-%dT%H:%M:%SZ}",
        **more,
    }


def fitment(job_id: str, position_id: str, **more: Any) -> dict[str, Any]:
    return {
        "job_id": job_id,
        "position_id": position_id,
        "fitted_on": "2026-03-06",
        "fitted_by": "bench two",
        **more,
    }


def shelved_part(shop: "Shop") -> tuple[str, str]:
    """A salvaged part on the shelf, and a job on another unit of the same design; their ids."""
    assembly_id = shop.make("/assemblies", assembly())
    position_id = shop.make("/positions", {"assembly_id": assembly_id, "name": "Input bearing"})
    donor_id = shop.make("/units", donor(assembly_id, released_on="2026-02-11"))
    part_id = shop.make("/salvaged-parts", salvaged_part(donor_id, position_id))
    unit_id = shop.make("/units", {"assembly_id": assembly_id, "kind": "customer"})
    return part_id, shop.make("/jobs", {"unit_id": unit_id, "complaint": "Noisy."})


def mm(value: str, **more: str) -> dict[str, str]:
    return {"value": value, "unit": "mm", **more}


def caution(**more: Any) -> dict[str, Any]:
    return {"kind": "hazard", "text": fresh("Hot oil"), "source": "Maker's book", **more}


def supersession(earlier_part_id: str, *later_part_ids: str, **more: Any) -> dict[str, Any]:
    return {
        "earlier_part_id": earlier_part_id,
        "evidence_kind": "maker-bulletin",
        "evidence": "Bulletin 12",
        "later_lines": [{"part_id": part_id, "quantity": 2} for part_id in later_part_ids],
        **more,
    }


def special_tool(assembly_id: str, *operation_ids: str, **more: Any) -> dict[str, Any]:
    return {
        "name": "Cover puller",
        "function": "separate",
        "assembly_id": assembly_id,
        "labour_operation_ids": list(operation_ids),
        "features": [
            {"kind": "thread", "designation": "M8x1.25", "size": None, "count": 2},
            {"kind": "spacing", "designation": None, "size": mm("84", plus_minus="0.2")},
        ],
        "force": {"value": "12", "unit": "kN"},
        "uses": ["impact"],
        **more,
    }


def stock_item(**more: Any) -> dict[str, Any]:
    length = {"kind": "length", "designation": None, "size": mm("60"), "count": 1}
    screw = {"name": "Hexagon screw M8x60", "kind": "screw", "quantity": 12}
    return {**screw, "form": "screw", "features": [length], **more}


def shim_pack(unit_id: str, **more: Any) -> dict[str, Any]:
    return {
        "unit_id": unit_id,
        "place": "pinion depth",
        "sets": "end float",
        "effect": "more-shims-increase",
        "stage": "as-found",
        "recorded_by": "bench two",
        "recorded_on": "2026-03-04",
        "shims": [{"thickness": mm("0.15"), "quantity": 2}, {"thickness": mm("0.40")}],
        **more,
    }


def shim_place(position_id: str, **more: Any) -> dict[str, Any]:
    return {
        "position_id": position_id,
        "name": "pinion depth",
        "effect": "more-shims-decrease",
        "factor": "1",
        "sizes": [{"thickness": mm("0.15")}, {"thickness": mm("0.20"), "is_discontinued": True}],
        "rule": {
            "aim": "lower",
            "digits": [
                {"first": 0, "last": 4, "to": 0},
                {"first": 5, "last": 9, "to": 10},
            ],
            "digits_unit": mm("0.01"),
        },
        "disturbed_by_position_ids": [position_id],
        **more,
    }


def delivery(supplier_id: str, part_id: str, **more: Any) -> dict[str, Any]:
    return {
        "supplier_id": supplier_id,
        "ordered_at": "2031-03-04T09:15:00Z",
        "lines": [{"quantity": 2, "part_id": part_id}],
        "arrived_on": "2031-03-07",
        **more,
    }


def outcome(job_id: str, position_id: str, **more: Any) -> dict[str, Any]:
    return {
        "job_id": job_id,
        "handed_over_on": "2031-03-14",
        "actual_cost": money("402.10"),
        "comebacks": [{"came_back_on": "2031-08-19", "position_id": position_id}],
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
