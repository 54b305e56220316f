"""What cannot be true of a condition is refused, naming the member and the mend."""

from collections.abc import Callable
from typing import Any

import pytest

from tests.api.bodies import Shop, error_of
from tests.api.test_findings import READ_AT, Bench, mm

Ask = Callable[[Bench], Any]
FEBRUARY = "2026-02-01T08:00:00Z"


@pytest.fixture
def bench(shop: Shop) -> Bench:
    return Bench(shop)


def found(**said: Any) -> Ask:
    return lambda bench: bench.post(**said)


def read(*sizes: str) -> Ask:
    """Readings of a bore that is claimed round, recorded under its roundness."""
    readings = [{"size": mm(size)} for size in sizes]
    return lambda bench: bench.post(characteristic_id=bench.round, measured=None, readings=readings)


def limits(**ends: Any) -> Ask:
    return lambda bench: bench.shop.post(
        "/characteristics", {"position_id": bench.shaft, "name": "Journal", **ends}
    )


def asked(name: str, **body: Any) -> Ask:
    return lambda bench: bench.shop.call("POST", f"/calculations/{name}", json=body)


def gauge(uncertainty: str) -> Ask:
    body = {"name": "Micrometer 9", "standard_uncertainty": mm(uncertainty)}
    return lambda bench: bench.shop.post("/gauges", body)


def hours_backwards(bench: Bench) -> Any:
    bench.make(unit_hours="1000", found_at=FEBRUARY)
    return bench.post(unit_hours="900", found_at=READ_AT)


def packed(**more: Any) -> Ask:
    body = {
        "place": "pinion depth", "sets": "end float", "effect": "more-shims-increase",
        "stage": "as-found", "recorded_by": "bench two", "recorded_on": "2026-03-04",
        "shims": [], **more,
    }  # fmt: skip
    return lambda bench: bench.shop.post("/shim-packs", {"unit_id": bench.unit, **body})


SEAT = {"lower_limit": mm("19.995"), "upper_limit": mm("20.005")}
GAP = {
    "measured_gap": mm("0.47"),
    "clearance_lower": mm("0.06"),
    "clearance_upper": mm("0.11"),
    "sizes": [{"thickness": mm("2")}],
}
REFUSED: dict[str, tuple[Ask, str, str]] = {
    "limits upside down": (
        limits(service_lower=mm("20.1"), service_upper=mm("20.0")),
        "/service_lower",
        "range-reversed",
    ),
    "limits upside down, asked": (
        asked("conformity", measured=mm("20", standard_uncertainty="0.002"),
              lower_limit=mm("20.1"), upper_limit=mm("20.0")),
        "/upper_limit",
        "limits-upside-down",
    ),
    "an interval upside down": (
        found(measured=None, at_least=mm("20.01"), at_most=mm("19.99")),
        "/at_least",
        "range-reversed",
    ),
    "unit mismatch": (
        found(measured={"value": "20", "unit": "kg"}), "/measured/unit", "unit-wrong-dimension",
    ),
    "unit mismatch, asked": (
        asked("conformity", measured={"value": "20", "unit": "kg"}, **SEAT),
        "/lower_limit/unit",
        "unit-wrong-dimension",
    ),
    "an uncertainty of zero": (
        found(measured=mm("19.998", standard_uncertainty="0")),
        "/measured/standard_uncertainty",
        "out-of-range",
    ),
    "an uncertainty below zero": (
        found(measured=mm("19.998", plus_minus="-0.01")), "/measured/plus_minus", "out-of-range",
    ),
    "a gauge without doubt": (gauge("0"), "/standard_uncertainty/value", "out-of-range"),
    "one reading claimed round": (read("40.01"), "/readings", "derived-not-read"),
    "hours backwards": (hours_backwards, "/unit_hours", "hours-backwards"),
    "a grade off the scale": (found(measured=None, grade="bad"), "/grade", "not-listed"),
    "shims thicker than the gap": (
        asked("shim-pack", **GAP), "/sizes/0/thickness", "thicker-than-gap",
    ),
    "found in the future": (
        found(found_at="2199-01-01T00:00:00Z"), "/found_at", "out-of-range",
    ),
    "shims recorded in the future": (
        packed(recorded_on="2199-01-01"), "/recorded_on", "out-of-range",
    ),
}  # fmt: skip


@pytest.mark.engines("sqlite")
def test_what_cannot_be_is_refused_by_its_member(bench: Bench) -> None:
    for name, (ask, pointer, code) in REFUSED.items():
        assert error_of(ask(bench), pointer)["code"] == code, name
    refused = error_of(bench.post(measured=None, grade="bad"), "/grade")
    assert all(word in refused["fix"] for word in ("none", "light", "moderate", "heavy"))
    assert len(bench.shop.get("/findings").json()["items"]) == 1  # at 1000 hours


def test_one_reading_of_a_bore_tells_no_roundness(bench: Bench) -> None:
    """Recorded under the size it is a good reading; of roundness it says nothing, and no yes."""
    bench.make(measured=None, readings=[{"size": mm("20.001"), "plane": "A", "direction": "X"}])
    condition = bench.shop.get(f"/units/{bench.unit}/condition").json()
    (shaft,) = [one for one in condition["positions"] if one["position_id"] == bench.shaft]
    assert any(text.startswith("Roundness") for text in shaft["not_inspected"])
    assert shaft["verdict"] != "conforming"


def test_a_client_id_with_other_content_is_refused(bench: Bench) -> None:
    first = bench.make(client_id="tablet-3/1", measured=mm("19.998"))
    other = bench.post(client_id="tablet-3/1", measured=mm("19.988"))
    assert (other.status_code, other.json()["type"]) == (409, "/problems/duplicate-client-id")
    problem = other.json()
    assert (problem["existing_id"], problem["differs_at"]) == (first, ["/measured"])
    assert "measured" in problem["detail"] and problem["fix"]
    assert len(bench.shop.get("/findings").json()["items"]) == 1
