"""Situations from the trade: form, limits that work either way or are not known.

In some situations the figures are filled in on the source's rule; each says so.
"""

from decimal import Decimal
from typing import Any

import pytest
from litestar.testing import TestClient

from tests.api import bodies
from tests.api.bodies import Shop, mm

pytestmark = pytest.mark.engines("sqlite")
FOUND_AT = "2026-03-02T09:15:00Z"


@pytest.fixture
def shop(client: TestClient[Any], headers: dict[str, str]) -> Shop:
    return Shop(client, headers["Authorization"].removeprefix("Bearer "))


def inch(value: str, **more: str) -> dict[str, str]:
    return {"value": value, "unit": "in", **more}


def computed(shop: Shop, name: str, **body: Any) -> Any:
    answer = shop.call("POST", f"/calculations/{name}", json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def value(quantity: Any, unit: str = "mm") -> Decimal:
    assert quantity["unit"] == unit
    return Decimal(quantity["value"])


class Unit:
    """A unit of a design of its own, with one position; what is found at it, and the verdicts."""

    def __init__(self, shop: Shop, *positions: str) -> None:
        self.shop = shop
        self.assembly = shop.make("/assemblies", bodies.assembly())
        self.positions = {
            name: shop.make("/positions", {"assembly_id": self.assembly, "name": name})
            for name in positions
        }
        self.unit = shop.make("/units", {"assembly_id": self.assembly, "kind": "customer"})
        self.at: dict[str, str] = {}

    def inspect(self, position: str, name: str, **facts: Any) -> str:
        body = {"position_id": self.positions[position], "name": name, **facts}
        made = self.shop.make("/characteristics", body)
        self.at[made] = self.positions[position]
        return made

    def find(self, characteristic: str, **facts: Any) -> str:
        body = {
            "unit_id": self.unit,
            "position_id": self.at[characteristic],
            "characteristic_id": characteristic,
            "found_by": "bench two",
            "found_at": FOUND_AT,
            "method": "gauge",
            **facts,
        }
        return self.shop.make("/findings", body)

    def condition(self) -> Any:
        answer = self.shop.get(f"/units/{self.unit}/condition")
        assert answer.status_code == 200, answer.text
        return answer.json()

    def sheet(self) -> Any:
        answer = self.shop.get(f"/units/{self.unit}/inspection-sheet")
        assert answer.status_code == 200, answer.text
        return answer.json()

    def lines(self) -> dict[str, Any]:
        """The lines of the sheet, by the name of what is inspected."""
        return {
            line["name"]: line
            for step in self.sheet()["steps"]
            for position in step["positions"]
            for line in position["lines"]
        }


# --- taper and roundness --------------------------------------------------------------------------

BORE = ["77.020", "77.018", "77.012", "77.010", "77.005", "77.004"]
READINGS = [
    {"size": mm(size), "plane": plane, "direction": direction}
    for size, (plane, direction) in zip(
        BORE,
        [(plane, way) for plane in ("top", "middle", "bottom") for way in ("X", "Y")],
        strict=True,
    )
]


def test_a_bore_within_its_size_is_out_of_taper_and_roundness(shop: Shop) -> None:
    """Source: public: motorcycle service manual page; figures filled in on its rule.

    The page also says to average the readings, which would hide both faults.
    """
    unit = Unit(shop, "Cylinder")
    size = unit.inspect(
        "Cylinder", "Bore", service_upper=mm("77.06"), counted_by="greatest", minimum_readings=6
    )
    for name, kind in (("Taper", "taper"), ("Roundness", "out-of-round-overall")):
        derivation = {"kind": kind, "terms": [{"characteristic_id": size}]}
        unit.inspect("Cylinder", name, service_upper=mm("0.005"), derivation=derivation)
    assert {name: line["found"] for name, line in unit.lines().items()} == {
        "Bore": [],
        "Taper": [],
        "Roundness": [],
    }
    # Read with a bore gauge of which it is known how well it repeats.
    gauge = {
        "name": bodies.fresh("Bore gauge"),
        "kind": "bore-gauge",
        "standard_uncertainty": mm("0.004"),
        "common_uncertainty": mm("0.0037"),
    }
    unit.find(size, readings=READINGS, gauge_id=shop.make("/gauges", gauge))
    found = {name: line["found"][0] for name, line in unit.lines().items()}
    assert {name: one["verdict"] for name, one in found.items()} == {
        "Bore": "conforming",
        "Taper": "nonconforming",
        "Roundness": "nonconforming",
    }
    assert "0.015 mm" in found["Taper"]["detail"]
    assert "0.016 mm" in found["Roundness"]["detail"]
    (position,) = unit.condition()["positions"]
    assert position["verdict"] == "nonconforming"


def test_form_is_told_from_the_readings_alone(shop: Shop) -> None:
    """The same bore, asked without a record: C, T and R of the page."""
    found = computed(
        shop,
        "form",
        readings=READINGS,
        feature="bore",
        upper_limit=mm("77.06"),
        taper_limit=mm("0.005"),
        out_of_round_limit=mm("0.005"),
        out_of_round_by="overall",
        gauge_uncertainty=mm("0.004"),
        common_uncertainty=mm("0.0037"),
    )
    told = {
        name: (value(found[name]["value"]), found[name]["verdict"])
        for name in ("size", "taper", "out_of_round")
    }
    assert told == {
        "size": (Decimal("77.02"), "conforming"),
        "taper": (Decimal("0.015"), "nonconforming"),
        "out_of_round": (Decimal("0.016"), "nonconforming"),
    }
    assert found["verdict"] == "nonconforming"


# --- limits that work downwards, or are read in other units ---------------------------------------

RING = {"service_lower": mm("0.8"), "new_lower": mm("1.2"), "new_upper": mm("1.6")}


@pytest.mark.parametrize(
    ("measured", "verdict", "zone"),
    [
        ("1.3", "conforming", "within-new"),
        ("0.9", "conforming", "within-service"),
        ("0.75", "nonconforming", "beyond"),
    ],
)
def test_a_gap_that_closes_with_wear_has_three_states(
    shop: Shop, measured: str, verdict: str, zone: str
) -> None:
    """Source: public: pick-up service manual page; figures filled in on its rule."""
    reading = mm(measured, standard_uncertainty="0.02")
    found = computed(
        shop,
        "conformity",
        measured=reading,
        lower_limit=mm("0.8"),
        new_lower=mm("1.2"),
        new_upper=mm("1.6"),
    )
    assert (found["verdict"], found["zone"]) == (verdict, zone)
    unit = Unit(shop, "Synchroniser ring")
    gap = unit.inspect("Synchroniser ring", "Gap", **RING)
    unit.find(gap, measured=reading)
    (one,) = unit.lines()["Gap"]["found"]
    assert (one["verdict"], one["zone"]) == (verdict, zone)


def test_backlash_in_inches_on_the_edge_of_a_limit_in_millimetres_is_undecided(shop: Shop) -> None:
    """Source: public: pick-up service manual page; figures filled in on its rule.

    0.008 in is 0.2032 mm, and may be anything from 0.1905 to 0.2159 mm; the limit is 0.20 mm. The
    manual wants the drive and driven gears replaced as a set.
    """
    reading = inch("0.008", plus_minus="0.0005")
    limits = {"new_lower": mm("0.05"), "new_upper": mm("0.10")}
    found = computed(shop, "conformity", measured=reading, upper_limit=mm("0.20"), **limits)
    assert found["verdict"] == "indeterminate" and found["is_within_limits"] is False
    assert value(found["measured"]) == Decimal("0.2032")
    assert value(found["standard_uncertainty"]) * Decimal(3).sqrt() == pytest.approx(
        Decimal("0.0127"), abs=Decimal("1e-8")
    )
    # 0.0032 mm over, of 0.0127 mm to either side: a quarter of the way, (1 - 1/4) / 2 is within.
    assert float(found["probability"]) == pytest.approx((1 - 0.0032 / 0.0127) / 2, abs=1e-8)
    assert 0 < value(found["settle"]["standard_uncertainty_at_most"]) < Decimal("0.0073")
    # A finer gauge at several teeth settles it.
    fine = mm("0.2032", standard_uncertainty="0.001")
    found = computed(shop, "conformity", measured=fine, upper_limit=mm("0.20"), **limits)
    assert found["verdict"] == "nonconforming"


def test_where_one_gear_is_not_good_the_set_is_told(shop: Shop) -> None:
    unit = Unit(shop, "Drive gear", "Driven gear")
    both = {"assembly_id": unit.assembly, "kind": "matched", "name": "Gear pair"}
    shop.make("/position-sets", {**both, "position_ids": list(unit.positions.values())})
    backlash = unit.inspect(
        "Drive gear", "Backlash", new_lower=mm("0.05"), new_upper=mm("0.10"),
        service_upper=mm("0.20"),
    )  # fmt: skip
    unit.find(backlash, measured=inch("0.008", plus_minus="0.0005"))
    (one,) = unit.lines()["Backlash"]["found"]
    assert one["verdict"] == "indeterminate" and "0.2" in one["detail"]
    told = [
        (position["name"], mate["advice"])
        for step in unit.sheet()["steps"]
        for position in step["positions"]
        for mate in position["matched_sets"]
    ]
    assert ("Drive gear", "Driven gear" in told[0][1]) == (told[0][0], True)
    condition = {one["position_id"]: one for one in unit.condition()["positions"]}
    drive = condition[unit.positions["Drive gear"]]
    assert drive["verdict"] == "indeterminate"
    assert unit.positions["Driven gear"] in str(drive)  # the set's other gear is named


# --- no limit known -------------------------------------------------------------------------------


def test_play_without_a_limit_is_kept_and_neither_passed_nor_failed(shop: Shop) -> None:
    """Source: public: tractor forum thread.

    Right: more than 1/8 in. Left: plus or minus 1/16, which is 1/8 in all: the two may be equal.
    """
    found = computed(shop, "conformity", at_least=inch("0.125"))
    assert (found["verdict"], found["zone"]) == ("indeterminate", "no-limit")
    assert found["probability"] is None and "limit" in found["reason"]
    unit = Unit(shop, "Axle")
    right = unit.inspect("Axle", "End play right", unit="in")
    left = unit.inspect("Axle", "End play left", unit="in")
    unit.find(right, at_least=inch("0.125"))
    unit.find(left, measured=inch("0.125"))
    lines = unit.lines()
    for name in ("End play right", "End play left"):
        (one,) = lines[name]["found"]
        assert (one["verdict"], one["zone"]) == ("indeterminate", "no-limit")
        assert lines[name]["service_upper"] is None  # none is invented
    wanted = [one["characteristic_id"] for one in unit.sheet()["missing"] if one["kind"] == "limit"]
    assert sorted(wanted) == sorted([right, left])
    kept = shop.get("/findings", unit_id=unit.unit).json()["items"]
    assert len(kept) == 2
    # Both in millimetres: more than 3.175, and 3.175.
    (position,) = unit.condition()["positions"]
    assert position["verdict"] == "indeterminate"
    assert "3.175" in str(position)
