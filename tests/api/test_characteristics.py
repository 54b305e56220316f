"""What a characteristic may say: its unit, its readings, what it is derived from."""

from typing import Any

import pytest

from tests.api import bodies
from tests.api.bodies import Shop, error_of

BORE = {"characteristic_id": "chr_1"}


def mm(value: str) -> dict[str, str]:
    return {"value": value, "unit": "mm"}


def derived(kind: str, *terms: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"unit": "mm", "derivation": {"kind": kind, "terms": list(terms), **more}}


REFUSED: dict[str, tuple[dict[str, Any], str, str]] = {
    "nothing": ({}, "", "limits-missing"),
    "another unit": ({"unit": "kg", "service_upper": mm("20")}, "/unit", "unit-wrong-dimension"),
    "no unit": ({"unit": "parsec"}, "/unit", "unit-unknown"),
    "upside down": ({"new_lower": mm("20.1"), "new_upper": mm("20.0")}, "/new_lower",
                    "range-reversed"),
    "graded with a unit": ({"unit": "mm", "is_crack": True}, "/unit", "dimension-and-attribute"),
    "graded with readings": ({"worst_acceptable_grade": "light", "minimum_readings": 2},
                             "/minimum_readings", "dimension-and-attribute"),
    "too many readings": ({"unit": "mm", "minimum_readings": 101}, "/minimum_readings",
                          "out-of-range"),
    "no limit to discard at": ({"unit": "mm", "service_limit_is": "discard"}, "/service_limit_is",
                               "limits-missing"),
    "no term": (derived("sum"), "/derivation/terms", "too-few"),
    "13 terms": (derived("sum", *[BORE] * 13), "/derivation/terms", "too-many"),
    "twice": (derived("sum", BORE, BORE), "/derivation/terms/1/characteristic_id", "repeated"),
    "zero": (derived("sum", {**BORE, "factor": "0"}), "/derivation/terms/0/factor",
             "out-of-range"),
    "huge": (derived("sum", {**BORE, "factor": "1001"}), "/derivation/terms/0/factor",
             "out-of-range"),
    "offset in newtons": (derived("sum", BORE, offset={"value": "1", "unit": "N"}),
                          "/derivation/offset/unit", "unit-wrong-dimension"),
    "roundness of two": (derived("out-of-round", BORE, {"characteristic_id": "chr_2"}),
                         "/derivation/terms", "too-many"),
    "half a taper": (derived("taper", {**BORE, "factor": "0.5"}), "/derivation/terms/0/factor",
                     "out-of-range"),
    "taper and more": (derived("taper", BORE, offset=mm("1")), "/derivation/offset",
                       "offset-misplaced"),
}  # fmt: skip


@pytest.mark.engines("sqlite")
def test_what_is_wrong_is_refused_by_its_member(shop: Shop) -> None:
    for name, (said, pointer, code) in REFUSED.items():
        refused = shop.post("/characteristics", {"position_id": "pos_1", "name": "Bore", **said})
        assert error_of(refused, pointer)["code"] == code, name


def test_a_clearance_follows_from_bore_and_journal(shop: Shop) -> None:
    assembly = shop.make("/assemblies", bodies.assembly())
    position = shop.make("/positions", {"assembly_id": assembly, "name": "Shaft", "quantity": 2})
    # Limits when new outside those in service, and no limit at all, are both as makers print them.
    bore = shop.make(
        "/characteristics",
        {
            "position_id": position,
            "name": "Bore",
            "new_lower": mm("19.99"),
            "service_lower": mm("20.00"),
            "counted_by": "greatest",
            "minimum_readings": 4,
        },
    )
    journal = shop.make(
        "/characteristics", {"position_id": position, "name": "Journal", "unit": "in"}
    )
    terms = [
        {"characteristic_id": bore, "factor": "1", "piece": 2},
        {"characteristic_id": journal, "factor": "-1", "piece": None},
    ]
    clearance = {
        "position_id": position,
        "name": "Clearance",
        "service_upper": mm("0.12"),
        "service_limit_is": "discard",
        "derivation": {"kind": "sum", "terms": terms},
    }
    stored = shop.get(f"/characteristics/{shop.make('/characteristics', clearance)}").json()
    assert stored["derivation"] == {"kind": "sum", "terms": terms, "offset": None}
    assert (stored["service_limit_is"], stored["minimum_readings"]) == ("discard", 1)
    retired = shop.call("DELETE", f"/characteristics/{journal}", headers={"If-Match": '"1"'})
    assert retired.json()["used_by"] == [{"kind": "characteristic", "id": stored["id"]}]


def test_a_gauge_is_recorded_with_what_it_is_good_for(shop: Shop, other_shop: Shop) -> None:
    small, large = ({"value": value, "unit": "µm"} for value in ("2", "4"))
    good = bodies.gauge(standard_uncertainty=large, common_uncertainty=small)
    stored = shop.get(f"/gauges/{shop.make('/gauges', good)}").json()
    assert (stored["standard_uncertainty"]["value"], stored["kind"]) == ("4", "outside-micrometer")
    celsius = {"value": "0.2", "unit": "°C"}
    for said, pointer, code in (
        ({"standard_uncertainty": mm("0")}, "/standard_uncertainty/value", "out-of-range"),
        ({"standard_uncertainty": mm("-1")}, "/standard_uncertainty/value", "out-of-range"),
        ({"standard_uncertainty": {**large, "plus_minus": "1"}},
         "/standard_uncertainty/plus_minus", "uncertainty-of-uncertainty"),
        ({"standard_uncertainty": celsius}, "/standard_uncertainty/unit", "unit-wrong-dimension"),
        ({"standard_uncertainty": small, "common_uncertainty": large},
         "/common_uncertainty/value", "common-above-whole"),
        ({"standard_uncertainty": small, "common_uncertainty": {"value": "1", "unit": "N"}},
         "/common_uncertainty/unit", "unit-wrong-dimension"),
        ({"calibration_months": 0}, "/calibration_months", "out-of-range"),
    ):  # fmt: skip
        refused = shop.post("/gauges", bodies.gauge(**said))
        assert error_of(refused, pointer)["code"] == code, said
    twice = shop.post("/gauges", good)
    assert (twice.status_code, twice.json()["existing_id"]) == (409, stored["id"])
    other_shop.make("/gauges", good)
    assert other_shop.get(f"/gauges/{stored['id']}").status_code == 404
