"""The inspection sheet over HTTP: in the order of dismantling, by the rulings that hold."""

from typing import Any

import pytest

from tests.api import bodies
from tests.api.bodies import Shop, error_of, fresh, mm

AS_OF = "2026-03-04T09:15:00Z"
FOUND_AT = "2026-03-02T09:15:00Z"


def sheet(shop: Shop, unit_id: str, **query: str) -> Any:
    answer = shop.get(f"/units/{unit_id}/inspection-sheet", **{"as_of": AS_OF, **query})
    assert answer.status_code == 200, answer.text
    return answer.json()


def position_of(answer: Any, position_id: str) -> Any:
    (found,) = [
        one
        for step in answer["steps"]
        for one in step["positions"]
        if one["position_id"] == position_id
    ]
    return found


def kinds(answer: Any) -> list[str]:
    return [one["kind"] for one in answer["missing"]]


class Bench:
    """A design with a pump behind a cover, its vane, and one unit of it."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.assembly = shop.make("/assemblies", bodies.assembly())
        self.cover = self.group("Cover off")
        self.case = self.group("Case parted", outer_group_id=self.cover)
        self.part = shop.make("/parts", bodies.part())
        self.pump = self.place("Pump", reference="2", access_group_id=self.cover)
        self.vane = self.place(
            "Vane", reference="3", parent_id=self.pump, access_group_id=self.case, quantity=2
        )
        self.pulley = self.place("Pulley", reference="9", part_id=self.part)
        self.width = shop.make(
            "/characteristics",
            {
                "position_id": self.vane,
                "name": "Width",
                "new_lower": mm("19.990"),
                "new_upper": mm("20.000"),
                "service_lower": mm("19.950"),
                "gauge_kind": "micrometer",
                "how": "Across both flats.",
            },
        )
        self.unit = shop.make(
            "/units",
            {
                "assembly_id": self.assembly,
                "kind": "customer",
                "serial_number": "LF-41",
                "upper_hours": "900",
            },
        )
        for kind, hours, at in (
            ("open", ("1", "2"), {"access_group_id": self.cover}),
            ("open", ("0.5", "0.7"), {"access_group_id": self.case}),
            ("inspect", ("0.2", "0.3"), {"position_id": self.vane}),
        ):
            made = {"kind": kind, "p50_hours": hours[0], "p90_hours": hours[1], **at}
            shop.make("/labour-operations", bodies.operation(self.assembly, **made))

    def group(self, name: str, **more: Any) -> str:
        body = {"assembly_id": self.assembly, "name": name, **more}
        return self.shop.make("/access-groups", body)

    def place(self, name: str, **more: Any) -> str:
        return self.shop.make("/positions", {"assembly_id": self.assembly, "name": name, **more})

    def find(self, value: str, **more: Any) -> str:
        body = bodies.finding(
            self.unit,
            self.vane,
            self.width,
            found_at=FOUND_AT,
            measured=mm(value),
            **more,
        )
        return self.shop.make("/findings", body)


@pytest.fixture
def bench(shop: Shop) -> Bench:
    return Bench(shop)


def test_the_sheet_goes_from_outside_inwards(shop: Shop, bench: Bench) -> None:
    shop.make("/cautions", bodies.caution(part_id=bench.part, text="Heavy: lift it by two."))
    answer = sheet(shop, bench.unit)
    told = [
        (step["name"], step["is_open"], [one["name"] for one in step["positions"]])
        for step in answer["steps"]
    ]
    assert told == [
        ("From outside", True, ["Pulley"]),
        ("Cover off", False, ["Pump"]),
        ("Case parted", False, ["Vane"]),
    ]
    assert (answer["p50_hours"], answer["p90_hours"]) == ("1.7", "3.0")
    assert answer["today"] == "2026-03-04"
    assert any("20 °C" in line for line in answer["general"])
    (caution,) = position_of(answer, bench.pulley)["cautions"]
    assert caution["text"] == "Heavy: lift it by two."
    assert [(one["kind"], one["piece"]) for one in answer["missing"]] == [
        ("finding", 1),
        ("finding", 2),
    ]
    assert answer["missing"][0]["path"] == f"/v1/units/{bench.unit}/findings"
    assert "Across both flats." in answer["missing"][0]["text"]


def test_gauges_are_told_with_their_calibration_and_readings_with_their_verdict(
    shop: Shop, bench: Bench
) -> None:
    shop.make(
        "/gauges",
        {
            "name": fresh("Fine micrometer"),
            "kind": "outside-micrometer",
            "standard_uncertainty": mm("0.002"),
            "calibrated_on": "2025-01-10",
            "calibration_months": 12,
        },
    )
    bench.find("19.998", gauge="micrometer", piece=1)
    first = bench.find("19.951", gauge="micrometer", piece=2)
    answer = sheet(shop, bench.unit)
    (line,) = position_of(answer, bench.vane)["lines"]
    (choice,) = line["gauges"]
    assert choice["kind"] == "outside-micrometer" and choice["is_called_for"]
    assert choice["fineness"] == "fine-enough"
    assert choice["shows_conformity_from"] == {"value": "19.956579", "unit": "mm"}
    (own,) = choice["own"]
    assert (own["calibration"], own["runs_out_on"]) == ("run-out", "2026-01-10")
    assert [one["verdict"] for one in line["found"]] == ["conforming", "indeterminate"]
    assert kinds(answer) == ["settling"]
    # At an earlier day the calibration held.
    early = sheet(shop, bench.unit, as_of="2025-06-01T00:00:00Z")
    (choice,) = position_of(early, bench.vane)["lines"][0]["gauges"]
    assert choice["own"][0]["calibration"] == "holds"
    # A correction counts in place of what it corrects.
    bench.find("19.990", gauge="micrometer", piece=2, supersedes_id=first)
    answer = sheet(shop, bench.unit)
    assert answer["missing"] == []
    assert position_of(answer, bench.vane)["verdict"] == "conforming"


def test_the_ruling_for_the_units_serial_number_keeps_it_closed(shop: Shop, bench: Bench) -> None:
    ruling = {
        "position_id": bench.pump,
        "ruling": "replace-as-assembly",
        "reason": "Pressed shut.",
        "evidence": "Maker's letter.",
        "serial_from": "LF-40",
        "serial_to": "LF-60",
        "ruled_by": "bench one",
    }
    shop.make("/serviceability-rulings", ruling)
    answer = sheet(shop, bench.unit)
    pump, vane = position_of(answer, bench.pump), position_of(answer, bench.vane)
    assert (pump["treatment"], pump["ruling_reason"]) == ("outside-only", "Pressed shut.")
    assert vane["treatment"] == "never-reached"
    assert [step["name"] for step in answer["steps"]] == ["From outside", "Cover off"]
    assert answer["p50_hours"] == "1" and answer["missing"] == []
    other = {"assembly_id": bench.assembly, "kind": "customer", "serial_number": "LF-61"}
    answer = sheet(shop, shop.make("/units", other))
    assert position_of(answer, bench.pump)["treatment"] == "open"
    assert "hours" in kinds(answer)
    # Of a unit without a number it cannot be told: the stricter ruling counts.
    other = {"assembly_id": bench.assembly, "kind": "customer"}
    answer = sheet(shop, shop.make("/units", other))
    assert position_of(answer, bench.pump)["treatment"] == "outside-only"
    assert kinds(answer) == ["serial-number", "hours"]


def test_a_job_tells_what_stands_open_and_that_the_cause_is_wanted(
    shop: Shop, bench: Bench
) -> None:
    job = {
        "unit_id": bench.unit,
        "complaint": "Noisy.",
        "opened_group_ids": [bench.cover],
    }
    job_id = shop.make("/jobs", job)
    answer = sheet(shop, bench.unit, job_id=job_id)
    assert [step["is_open"] for step in answer["steps"]] == [True, True, False]
    assert answer["p50_hours"] == "0.7"
    cause = answer["missing"][0]
    assert (cause["kind"], cause["path"]) == ("cause", f"/v1/jobs/{job_id}")
    known = shop.make("/jobs", {**job, "cause": "Ran dry."})
    assert "cause" not in kinds(sheet(shop, bench.unit, job_id=known))


def test_shims_and_matched_sets_are_told_to_stay_with_the_unit(shop: Shop, bench: Bench) -> None:
    place = shop.make(
        "/shim-places",
        {
            "position_id": bench.pump,
            "name": "Pump end float",
            "effect": "more-shims-increase",
            "seating": "Turn the shaft both ways.",
        },
    )
    shop.make(
        "/position-sets",
        {
            "assembly_id": bench.assembly,
            "kind": "matched",
            "name": "Pair",
            "position_ids": [bench.pump, bench.pulley],
        },
    )
    answer = sheet(shop, bench.unit)
    pump = position_of(answer, bench.pump)
    assert pump["matched_sets"][0]["other_position_ids"] == [bench.pulley]
    assert pump["shims"][0]["as_found_pack_id"] is None
    (wanted,) = [one for one in answer["missing"] if one["kind"] == "shim-pack"]
    assert wanted["shim_place_id"] == place
    pack = bodies.shim_pack(bench.unit, shim_place_id=place, recorded_on="2026-03-02")
    pack_id = shop.make("/shim-packs", {**pack, "place": "Pump end float"})
    answer = sheet(shop, bench.unit)
    assert position_of(answer, bench.pump)["shims"][0]["as_found_pack_id"] == pack_id
    assert "shim-pack" not in kinds(answer)


def test_a_special_tool_stands_where_it_is_called_for(shop: Shop, bench: Bench) -> None:
    tool = bodies.special_tool(bench.assembly, position_id=bench.vane)
    tool_id = shop.make("/special-tools", tool)
    vane = position_of(sheet(shop, bench.unit), bench.vane)
    assert [one["id"] for one in vane["tools"]] == [tool_id]


def test_what_is_not_this_shops_or_not_of_this_unit_is_refused(
    shop: Shop, other_shop: Shop, bench: Bench
) -> None:
    path = f"/units/{bench.unit}/inspection-sheet"
    assert other_shop.get(path).status_code == 404
    assert shop.get("/units/unt_none/inspection-sheet").status_code == 404
    assert error_of(shop.get(path, job_id="job_none"), "/job_id")["code"] == "reference-unknown"
    other = shop.make("/units", {"assembly_id": bench.assembly, "kind": "customer"})
    job_id = shop.make("/jobs", {"unit_id": other, "complaint": "Noisy."})
    assert error_of(shop.get(path, job_id=job_id), "/job_id")["code"] == "other-unit"
    assert error_of(shop.get(path, as_of="today"), "/as_of")["code"] == "date-time-format"
    assert shop.get(path, unit="x").status_code == 422
