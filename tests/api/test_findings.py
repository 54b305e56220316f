"""What a finding may say, and what is refused of it, by the member that is wrong."""

from datetime import timedelta
from typing import Any

import pytest

from db.queries.access import now
from tests.api import bodies
from tests.api.bodies import Shop, error_of

READ_AT = "2026-02-17T08:15:00Z"


def mm(value: str, **more: str) -> dict[str, str]:
    return {"value": value, "unit": "mm", **more}


class Bench:
    """A unit with a shaft: a seat with limits, one without, its roundness, and its cracks."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.assembly = shop.make("/assemblies", bodies.assembly())
        shaft = {"assembly_id": self.assembly, "name": "Shaft", "quantity": 2}
        self.shaft = shop.make("/positions", shaft)
        self.seat = self.characteristic("Seat", service_lower=mm("19.995"))
        self.bare = self.characteristic("Shoulder", unit="mm")
        terms = [{"characteristic_id": self.seat}]
        self.round = self.characteristic(
            "Roundness",
            service_upper=mm("0.005"),
            derivation={"kind": "out-of-round", "terms": terms},
        )
        self.scoring = self.characteristic("Scoring", worst_acceptable_grade="light")
        self.unit = self.new_unit()
        self.gauge = shop.make("/gauges", bodies.gauge())

    def characteristic(self, name: str, **members: Any) -> str:
        body = {"position_id": self.shaft, "name": name, **members}
        return self.shop.make("/characteristics", body)

    def new_unit(self) -> str:
        return self.shop.make("/units", {"assembly_id": self.assembly, "kind": "customer"})

    def body(self, **more: Any) -> dict[str, Any]:
        """A finding on the seat; a member that is None is left out."""
        found = bodies.finding(self.unit, self.shaft, self.seat, found_at=READ_AT) | more
        return {name: value for name, value in found.items() if value is not None}

    def post(self, **more: Any) -> Any:
        return self.shop.post("/findings", self.body(**more))

    def make(self, **more: Any) -> str:
        return self.shop.make("/findings", self.body(**more))


@pytest.fixture
def bench(shop: Shop) -> Bench:
    return Bench(shop)


READINGS = [{"size": mm("19.998"), "plane": "A", "direction": "X"}, {"size": mm("20.001")}]


@pytest.mark.parametrize(
    "said",
    [
        {"measured": None, "readings": READINGS, "mechanism": "wear", "unit_hours": "1480.5"},
        {"measured": None, "at_least": mm("19.99"), "at_most": mm("20.01")},
        {"measured": None, "at_most": mm("20.01"), "gauge": "ring gauge"},
        {"gauge": "micrometer", "gauge_calibrated_on": "2026-01-12", "client_id": "a/1"},
    ],
)
def test_what_is_found_is_kept_as_it_is_said(bench: Bench, said: dict[str, Any]) -> None:
    stored = bench.shop.get(f"/findings/{bench.make(**said)}").json()
    expected = bench.body(**said)
    # What a reading leaves out is told as not known.
    left_out = {"plane": None, "direction": None}
    expected["readings"] = [left_out | one for one in expected.get("readings", [])]
    for place, one in enumerate(stored["readings"]):
        assert expected["readings"][place]["size"].items() <= one["size"].items()
        assert one["plane"] == expected["readings"][place]["plane"]
    for name in ("measured", "at_least", "at_most"):
        if name in expected:
            assert expected[name].items() <= stored[name].items()
        else:
            assert stored[name] is None
    for name in expected.keys() - {"readings", "measured", "at_least", "at_most"}:
        assert stored[name] == expected[name], name


NOT_SAID = {"measured": None}
REFUSED: dict[str, tuple[dict[str, Any], str, str]] = {
    "nothing": (NOT_SAID, "/measured", "measured-or-graded"),
    "no readings": ({**NOT_SAID, "readings": []}, "/measured", "measured-or-graded"),
    "two": ({"readings": READINGS}, "/readings", "measured-or-graded"),
    "size and grade": ({"grade": "light"}, "/grade", "measured-or-graded"),
    "size and end": ({"at_most": mm("20.01")}, "/at_most", "measured-or-graded"),
    "inches": (
        {**NOT_SAID, "at_least": {"value": "0.8", "unit": "in"}, "at_most": mm("20.01")},
        "/at_least",
        "range-reversed",
    ),
    "no width": (
        {**NOT_SAID, "at_least": mm("20.0"), "at_most": mm("20.00")},
        "/at_most",
        "interval-empty",
    ),
    "ends of two kinds": (
        {**NOT_SAID, "at_least": mm("20.0"), "at_most": {"value": "21", "unit": "N"}},
        "/at_most/unit",
        "unit-wrong-dimension",
    ),
    "readings of two kinds": (
        {**NOT_SAID, "readings": [*READINGS, {"size": {"value": "20", "unit": "kg"}}]},
        "/readings/2/size/unit",
        "unit-wrong-dimension",
    ),
    "readings of another kind": (
        {**NOT_SAID, "readings": [{"size": {"value": "20", "unit": "kg"}}]},
        "/readings/0/size/unit",
        "unit-wrong-dimension",
    ),
    "interval of another kind": (
        {**NOT_SAID, "at_least": {"value": "20", "unit": "kg"}},
        "/at_least/unit",
        "unit-wrong-dimension",
    ),
    "101 readings": (
        {**NOT_SAID, "readings": [{"size": mm("20.0")}] * 101},
        "/readings",
        "too-many",
    ),
    "by eye": ({**NOT_SAID, "readings": READINGS, "method": "by-eye"}, "/method",
               "method-does-not-measure"),
    "another mechanism": ({"mechanism": "bad luck"}, "/mechanism", "not-listed"),
    "hours below zero": ({"unit_hours": "-1"}, "/unit_hours", "out-of-range"),
    "calibrated after": (
        {"gauge": "micrometer", "gauge_calibrated_on": "2026-02-19"},
        "/gauge_calibrated_on",
        "calibrated-after",
    ),
    "calibration of nothing": (
        {"gauge_calibrated_on": "2026-01-12"},
        "/gauge_calibrated_on",
        "gauge-missing",
    ),
    "no such gauge": ({"gauge_id": "gau_none"}, "/gauge_id", "reference-unknown"),
    "piece beyond": ({"piece": 3}, "/piece", "out-of-range"),
}  # fmt: skip


def test_what_is_wrong_is_refused_by_its_member(bench: Bench) -> None:
    for name, (said, pointer, code) in REFUSED.items():
        assert error_of(bench.post(**said), pointer)["code"] == code, name
    assert bench.shop.get("/findings").json()["items"] == []


def test_nothing_is_found_in_the_future(bench: Bench) -> None:
    ahead = now() + timedelta(minutes=10)
    assert error_of(bench.post(found_at=ahead.isoformat()), "/found_at")["code"] == "out-of-range"
    # Two clocks never agree to the second.
    bench.make(found_at=(now() + timedelta(minutes=3)).isoformat())


def test_a_size_without_limits_has_its_unit(bench: Bench) -> None:
    bench.make(characteristic_id=bench.bare, measured=mm("12.5"))
    weighed = {"value": "1", "unit": "kg"}
    refused = bench.post(characteristic_id=bench.bare, measured=weighed)
    assert error_of(refused, "/measured/unit")["code"] == "unit-wrong-dimension"
    graded = bench.post(characteristic_id=bench.bare, measured=None, grade="light", method="by-eye")
    assert error_of(graded, "/measured")["code"] == "measured-missing"
    seen = bench.post(characteristic_id=bench.scoring)
    assert error_of(seen, "/grade")["code"] == "grade-missing"


def test_roundness_may_be_measured_as_such(bench: Bench) -> None:
    # Between centres with an indicator; readings of it are refused (test_bad_condition).
    bench.make(characteristic_id=bench.round, measured=mm("0.004", standard_uncertainty="0.001"))


def test_a_gauge_reads_its_own_kind_of_quantity(bench: Bench) -> None:
    wrench = bodies.gauge(standard_uncertainty={"value": "0.4", "unit": "N·m"})
    refused = bench.post(gauge_id=bench.shop.make("/gauges", wrench))
    assert error_of(refused, "/gauge_id")["code"] == "unit-wrong-dimension"


def test_the_gauge_of_another_shop_is_not_known(bench: Bench, other_shop: Shop) -> None:
    theirs = other_shop.make("/gauges", bodies.gauge())
    assert error_of(bench.post(gauge_id=theirs), "/gauge_id")["code"] == "reference-unknown"


def test_the_calibration_of_then_is_written_down_with_the_finding(bench: Bench) -> None:
    gauge = bench.shop.make("/gauges", bodies.gauge(calibrated_on="2026-01-12"))
    path = f"/findings/{bench.make(gauge_id=gauge, client_id='a/1')}"
    headers = {"If-Match": '"1"', "Content-Type": "application/merge-patch+json"}
    again = bench.shop.call(
        "PATCH", f"/gauges/{gauge}", json={"calibrated_on": "2026-06-01"}, headers=headers
    )
    assert again.status_code == 200
    assert bench.shop.get(path).json()["gauge_calibrated_on"] == "2026-01-12"
    # Sent again without the day, it is still the same finding.
    assert bench.post(gauge_id=gauge, client_id="a/1").status_code == 200
    # A calibration after the reading tells nothing of it.
    later = bench.make(gauge_id=gauge)
    assert bench.shop.get(f"/findings/{later}").json()["gauge_calibrated_on"] is None


# --- hours -----------------------------------------------------------------------------------


def test_hours_do_not_run_backwards(bench: Bench) -> None:
    first = bench.make(unit_hours="1000", found_at="2026-02-01T08:00:00Z")
    bench.make(unit_hours="1200", found_at="2026-02-10T08:00:00Z")
    for hours, at in (("999.9", "2026-02-02"), ("1201", "2026-02-09"), ("1199", "2026-02-11")):
        refused = bench.post(unit_hours=hours, found_at=f"{at}T08:00:00Z")
        assert error_of(refused, "/unit_hours")["code"] == "hours-backwards", hours
    for hours, at in (("1000", "2026-02-02"), ("1200", "2026-02-09"), ("1200", "2026-02-11")):
        bench.make(unit_hours=hours, found_at=f"{at}T08:00:00Z")
    assert error_of(bench.post(unit_hours="900", found_at="2026-02-01T09:00:00Z"), "/unit_hours")[
        "detail"
    ].count(first)
    # Another unit has hours of its own.
    bench.make(unit_id=bench.new_unit(), unit_hours="5", found_at="2026-02-12T08:00:00Z")


def test_hours_that_were_put_right_count_no_more(bench: Bench) -> None:
    typed = bench.make(unit_hours="10000", found_at="2026-02-01T08:00:00Z")
    put_right = {"unit_hours": "1000", "found_at": "2026-02-01T08:00:00Z", "supersedes_id": typed}
    bench.make(**put_right)
    bench.make(unit_hours="1010", found_at="2026-02-02T08:00:00Z")


# --- corrections and what is sent twice ------------------------------------------------------


def test_a_correction_of_what_is_corrected_names_the_finding_that_stands(bench: Bench) -> None:
    first = bench.make()
    second = bench.make(supersedes_id=first)
    third = bench.make(supersedes_id=second)
    for earlier in (first, second):
        answer = bench.post(supersedes_id=earlier)
        assert answer.status_code == 409
        assert answer.json()["type"] == "/problems/duplicate"
        assert answer.json()["existing_id"] == third
    elsewhere = bench.post(unit_id=bench.new_unit(), supersedes_id=third)
    assert error_of(elsewhere, "/supersedes_id")["code"] == "other-unit"


def test_a_finding_sent_twice_is_stored_once(bench: Bench, other_shop: Shop) -> None:
    said = {"client_id": "tablet-3/1", "measured": mm("19.998", standard_uncertainty="0.002")}
    first = bench.post(**said)
    assert first.status_code == 201
    # Under another Idempotency-Key: the tablet was restarted meanwhile.
    again = bench.post(**said)
    assert (again.status_code, again.json()) == (200, first.json())
    assert again.headers["etag"] == first.headers["etag"]
    assert len(bench.shop.get("/findings").json()["items"]) == 1
    # The word is the shop's own: another shop has it too.
    assert Bench(other_shop).post(**said).status_code == 201
