"""GET /v1/units/{id}/condition: what the findings on a unit amount to."""

import pytest

from tests.api import bodies
from tests.api.bodies import Shop, fresh, mm

FOUND_AT = "2026-03-02T09:15:00Z"


class Pump:
    """A housing with a bore, a shaft that runs in it, and the clearance between the two."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.assembly = shop.make("/assemblies", bodies.assembly())
        self.housing = self.place("Housing")
        self.shaft = self.place("Shaft")
        self.bore = self.characteristic(self.housing, "Bore", service_upper=mm("50.060"))
        self.journal = self.characteristic(self.shaft, "Journal", service_lower=mm("49.970"))
        terms = [
            {"characteristic_id": self.bore},
            {"characteristic_id": self.journal, "factor": "-1"},
        ]
        self.clearance = self.characteristic(
            self.housing,
            "Clearance",
            service_upper=mm("0.070"),
            derivation={"kind": "sum", "terms": terms},
        )
        self.unit = shop.make(
            "/units",
            {"assembly_id": self.assembly, "kind": "customer", "serial_number": fresh("S")},
        )

    def place(self, name: str, **more: object) -> str:
        return self.shop.make("/positions", {"assembly_id": self.assembly, "name": name, **more})

    def characteristic(self, position: str, name: str, **more: object) -> str:
        return self.shop.make("/characteristics", {"position_id": position, "name": name, **more})

    def find(self, position: str, characteristic: str, **more: object) -> str:
        body = {
            "unit_id": self.unit,
            "position_id": position,
            "characteristic_id": characteristic,
            "found_by": "bench two",
            "found_at": FOUND_AT,
            "method": "gauge",
            **more,
        }
        return self.shop.make("/findings", body)

    def condition(self) -> dict[str, object]:
        answer = self.shop.get(f"/units/{self.unit}/condition")
        assert answer.status_code == 200, answer.text
        return answer.json()

    def at(self, position: str) -> dict[str, object]:
        (found,) = [one for one in self.condition()["positions"] if one["position_id"] == position]
        return found


@pytest.fixture
def pump(shop: Shop) -> Pump:
    return Pump(shop)


def sizes(pump: Pump, bore: str = "50.045", journal: str = "49.985") -> tuple[str, str]:
    return (
        pump.find(pump.housing, pump.bore, measured=mm(bore, standard_uncertainty="0.004")),
        pump.find(pump.shaft, pump.journal, measured=mm(journal, standard_uncertainty="0.003")),
    )


def test_nothing_found_is_not_inspected_and_says_what_is_missing(pump):
    found = pump.at(pump.housing)
    assert (found["verdict"], found["zone"], found["probability"]) == ("not-inspected", None, None)
    assert found["not_inspected"] == ["Bore", "Clearance"]
    assert [one["why"] for one in found["not_derived"]] == ["Bore is not measured"]
    whole = pump.condition()
    assert (whole["rule"], whole["history"]) == ("iso-14253-1", [])
    assert float(whole["acceptance_probability"]) == 0.95


def test_a_clearance_follows_from_bore_and_journal_with_its_budget(pump):
    bore, journal = sizes(pump)
    found = pump.at(pump.housing)
    assert found["verdict"] == "conforming"
    (derived,) = found["derived"]
    assert derived["finding_id"] == f"derived:{pump.clearance}"
    assert derived["measured"]["value"] == "0.06"
    assert float(derived["measured"]["standard_uncertainty"]) == pytest.approx(0.005)
    assert [line["finding_id"] for line in derived["budget"]] == [bore, journal]
    judged = {one["finding_id"]: one for one in found["findings"]}
    chance = float(judged[derived["finding_id"]]["probability"])
    assert chance == pytest.approx(0.97725, abs=1e-5)


@pytest.mark.engines("sqlite")
def test_what_is_open_says_what_would_settle_it(pump):
    pump.find(pump.shaft, pump.journal, measured=mm("49.975", standard_uncertainty="0.006"))
    found = pump.at(pump.shaft)
    assert found["verdict"] == "indeterminate"
    assert "a gauge of u at most 0.00303 mm would settle it" in found["settle"][0]
    (one,) = found["findings"]
    u = one["settle"]["standard_uncertainty_at_most"]
    assert (u["unit"], float(u["value"])) == ("mm", pytest.approx(0.00303978, abs=1e-8))


@pytest.mark.engines("sqlite")
def test_a_gauge_on_record_counts_with_its_doubt_and_its_calibration(pump):
    gauge = pump.shop.make(
        "/gauges",
        {
            "name": fresh("Micrometer"),
            "standard_uncertainty": mm("0.003"),
            "calibrated_on": "2024-01-01",
            "calibration_months": 12,
        },
    )
    pump.find(pump.shaft, pump.journal, measured=mm("49.990"), gauge_id=gauge)
    found = pump.at(pump.shaft)
    assert found["verdict"] == "indeterminate"
    assert "ran out on 2025-01-01" in found["findings"][0]["detail"]
    assert "u = 0.003 mm" in found["findings"][0]["detail"]


@pytest.mark.engines("sqlite")
def test_history_and_what_was_superseded_are_not_judged(pump):
    worn = mm("49.900", standard_uncertainty="0.003")
    old = pump.find(pump.shaft, pump.journal, measured=worn, unit_hours="100")
    good = mm("49.990", standard_uncertainty="0.003")
    slip = pump.find(pump.shaft, pump.journal, measured=worn, unit_hours="200")
    new = pump.find(pump.shaft, pump.journal, measured=good, unit_hours="200", supersedes_id=slip)
    found = pump.at(pump.shaft)
    assert [one["finding_id"] for one in found["findings"]] == [new]
    assert (found["verdict"], pump.condition()["history"]) == ("conforming", [old])


@pytest.mark.engines("sqlite")
def test_positions_of_a_matched_set_are_named_together(pump):
    pump.shop.make(
        "/position-sets",
        {
            "assembly_id": pump.assembly,
            "kind": "matched",
            "name": "Housing and shaft",
            "position_ids": [pump.housing, pump.shaft],
        },
    )
    assert pump.at(pump.shaft)["renewed_with"] == [{"position_id": pump.housing, "name": "Housing"}]


@pytest.mark.engines("sqlite")
def test_another_shops_unit_is_not_found(pump, other_shop):
    assert other_shop.get(f"/units/{pump.unit}/condition").status_code == 404
