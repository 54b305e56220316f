"""What a snapshot may not say of gauges, readings, derived measures, shims, rework and causes."""

from copy import deepcopy
from typing import Any

import pytest

from shared.decision.check import check_snapshot
from shared.decision.codec import from_builtins
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from tests.shared.decision.test_from_checks import put
from tests.snapshots import (
    Members,
    job,
    own_unit,
    part,
    position,
    service,
    settings,
    snapshot,
    supplier,
)


def mm(value: str) -> Members:
    return {"value": value, "unit": "mm"}


NEWTON = {"value": "900", "unit": "N"}


def size(key: str, **members: Any) -> Members:
    return {"id": f"chr_{key}", "position_id": "pos_seat", "name": key, **members}


def found(key: str, **members: Any) -> Members:
    return {
        "id": f"fnd_{key}",
        "unit_id": "unt_1",
        "position_id": "pos_seat",
        "characteristic_id": f"chr_{key}",
        "found_by": "Technician A",
        "found_at": "2031-03-03T07:00:00Z",
        "method": "gauge",
        **members,
    }


def sound() -> Members:
    """A snapshot with something of everything that condition knows, and nothing wrong."""
    terms = [
        {"characteristic_id": "chr_bore"},
        {"characteristic_id": "chr_shaft", "factor": "-1", "piece": 1},
    ]
    return snapshot(
        job=job(cause_kind="contamination", failure_mechanism="fatigue", is_cause_removed=True),
        settings=settings(
            warranty={
                "cause_chances": [
                    {"cause_kind": "contamination", "probability": "0.05"},
                    {"cause_kind": "contamination", "mechanism": "wear", "probability": "0.02"},
                ]
            },
            rules={"inspection_cap_hours": "500"},
            life_records=[
                {
                    "part_kind": "seat",
                    "shape": "1.5",
                    "scale_hours": "900",
                    "basis": "jobs",
                    "method": "rank-regression",
                    "failures": 0,
                }
            ],
        ),
        units=[own_unit()],
        parts=[part("seat"), part("shim"), part("sleeve")],
        positions=[
            position(
                "seat",
                duty={
                    "rolling": "ball",
                    "dynamic_rating": {"value": "14", "unit": "kN"},
                    "equivalent_load": NEWTON,
                    "speed": {"value": "1450", "unit": "1/min"},
                    "basis": "name plate",
                },
            ),
            position("shim"),
        ],
        characteristics=[
            size("bore", service_upper=mm("20.02")),
            size("shaft", unit="mm"),
            size(
                "clearance",
                new_lower=mm("0.01"),
                derivation={"kind": "sum", "terms": terms, "offset": mm("-0.001")},
            ),
            size(
                "taper",
                service_upper=mm("0.01"),
                derivation={"kind": "taper", "terms": [{"characteristic_id": "chr_bore"}]},
            ),
        ],
        gauges=[
            {
                "id": "gau_1",
                "name": "bore gauge",
                "standard_uncertainty": mm("0.002"),
                "common_uncertainty": {"value": "1.5", "unit": "µm"},
                "calibration_months": 12,
            }
        ],
        findings=[
            found("bore", readings=[{"size": mm("20.01")}], gauge_id="gau_1", unit_hours="800"),
            found("shaft", at_least=mm("19.98"), at_most={"value": "0.78720", "unit": "in"}),
        ],
        shim_places=[
            {
                "id": "spl_1",
                "position_id": "pos_shim",
                "name": "end float",
                "effect": "more-shims-decrease",
                "sets_characteristic_id": "chr_clearance",
                "sizes": [{"thickness": mm("0.1"), "part_id": "prt_shim"}],
                "assortment": [{"part_id": "prt_shim", "quantity": 2}],
                "disturbed_by_position_ids": ["pos_seat"],
            }
        ],
        shim_packs=[
            {
                "id": "shm_1",
                "unit_id": "unt_1",
                "place": "end float",
                "sets": "end float",
                "effect": "more-shims-decrease",
                "stage": "as-found",
                "recorded_by": "Technician A",
                "recorded_on": "2031-03-03",
                "shims": [{"thickness": mm("0.1"), "quantity": 2}],
                "position_id": "pos_shim",
                "shim_place_id": "spl_1",
            }
        ],
        suppliers=[supplier("a")],
        offers=[
            service(
                "bush",
                "a",
                "40",
                position_id="pos_seat",
                rework={
                    "kind": "sleeve",
                    "puts_right": ["chr_bore"],
                    "p50_hours": "0.5",
                    "p90_hours": "0.5",
                    "parts": [{"part_id": "prt_sleeve"}],
                },
            )
        ],
    )


def test_a_sound_snapshot_is_taken() -> None:
    check_snapshot(from_builtins(sound(), Snapshot))


UNKNOWN, KIND = "reference-unknown", "unit-wrong-dimension"
TERMS = "characteristics/2/derivation/terms"
PLACE, PACK, REWORK = "shim_places/0", "shim_packs/0", "offers/0/rework"
TWICE_CAUSED = {"cause_kind": "contamination", "mechanism": "wear", "probability": "0"}
WRONG = [
    # Gauges and findings.
    ("gauges/0/common_uncertainty/value", "2.5", None, "common-above-whole"),
    ("gauges/0/standard_uncertainty/value", "0", None, "out-of-range"),
    ("gauges/0/calibration_months", 0, None, "out-of-range"),
    ("gauges/-", {"id": "gau_1", "name": "again"}, "gauges/1/id", "duplicate"),
    ("findings/0/gauge_id", "gau_2", None, UNKNOWN),
    ("findings/0/measured", mm("20"), "findings/0/readings", "measured-or-graded"),
    ("findings/0/readings", [], "findings/0/measured", "measured-or-graded"),
    ("findings/0/readings/-", {"size": NEWTON}, "findings/0/readings/1/size/unit", KIND),
    ("findings/1/at_most", NEWTON, "findings/1/at_most/unit", KIND),
    ("findings/1/at_most", mm("19.98"), None, "range-reversed"),
    ("findings/0/unit_hours", "-1", None, "invalid"),
    # Derived measures.
    (f"{TERMS}/0/characteristic_id", "chr_none", None, UNKNOWN),
    (f"{TERMS}/0/characteristic_id", "chr_clearance", TERMS, "cycle"),
    (f"{TERMS}/1/factor", "0", None, "out-of-range"),
    (f"{TERMS}/1/piece", 0, None, "out-of-range"),
    (TERMS, [], None, "out-of-range"),
    (
        "characteristics/3/derivation/terms/-",
        {"characteristic_id": "chr_shaft"},
        "characteristics/3/derivation/terms",
        "out-of-range",
    ),
    ("characteristics/2/new_lower", NEWTON, f"{TERMS}/0/characteristic_id", KIND),
    ("characteristics/0/unit", "N", "characteristics/0", KIND),
    ("characteristics/0/minimum_readings", 0, None, "out-of-range"),
    # Shims.
    (f"{PLACE}/position_id", "pos_none", None, UNKNOWN),
    (f"{PLACE}/disturbed_by_position_ids/0", "pos_none", None, UNKNOWN),
    (f"{PLACE}/sets_characteristic_id", "chr_none", None, UNKNOWN),
    (f"{PLACE}/sizes/0/part_id", "prt_none", None, UNKNOWN),
    (f"{PLACE}/assortment/0/part_id", "prt_none", None, UNKNOWN),
    (f"{PLACE}/sizes/0/thickness/value", "51", None, "out-of-range"),
    (f"{PLACE}/sizes/0/thickness/value", "1e30", None, "out-of-range"),
    (f"{PLACE}/factor", "0", None, "out-of-range"),
    (f"{PACK}/unit_id", "unt_none", None, UNKNOWN),
    (f"{PACK}/position_id", "pos_none", None, UNKNOWN),
    (f"{PACK}/shim_place_id", "spl_none", None, UNKNOWN),
    (f"{PACK}/effect", "more-shims-increase", None, "effect-contradicts"),
    (f"{PACK}/shims/0/quantity", 0, None, "out-of-range"),
    (f"{PACK}/shims/0/thickness", NEWTON, f"{PACK}/shims/0/thickness/unit", KIND),
    # Duty, rework, causes.
    ("positions/0/duty/speed/value", "0", None, "out-of-range"),
    (f"{REWORK}/puts_right/0", "chr_none", None, UNKNOWN),
    (f"{REWORK}/parts/0/part_id", "prt_none", None, UNKNOWN),
    (f"{REWORK}/parts/0/quantity", 0, None, "out-of-range"),
    (f"{REWORK}/p90_hours", "0.4", None, "p90-below-p50"),
    ("job/cause_kind", None, "job/is_cause_removed", "cause-missing"),
    (
        "settings/warranty/cause_chances/-",
        TWICE_CAUSED,
        "settings/warranty/cause_chances/2",
        "duplicate-item",
    ),
    ("settings/warranty/cause_chances/0/probability", "1.1", None, "invalid"),
    ("settings/rules/inspection_cap_hours", "0", None, "out-of-range"),
    ("settings/life_records/0/failures", -1, None, "out-of-range"),
    ("settings/life_records/0/scale_hours", "1e-30", None, "invalid"),
]


@pytest.mark.parametrize(("path", "value", "pointer", "code"), WRONG)
def test_what_cannot_be_so_is_refused(
    path: str, value: Any, pointer: str | None, code: str
) -> None:
    members = deepcopy(sound())
    put(members, path, value)
    with pytest.raises(InvalidInput) as caught:
        check_snapshot(from_builtins(members, Snapshot))
    assert (caught.value.pointer, caught.value.code) == (f"/{pointer or path}", code)
    assert caught.value.detail.endswith(".")
    assert caught.value.fix.endswith(".")


def test_a_measure_may_be_made_of_one_that_is_derived_and_not_in_a_circle() -> None:
    members = sound()
    put(members, f"{TERMS}/-", {"characteristic_id": "chr_taper"})
    check_snapshot(from_builtins(members, Snapshot))
    put(members, "characteristics/3/derivation/terms/0/characteristic_id", "chr_clearance")
    with pytest.raises(InvalidInput) as caught:
        check_snapshot(from_builtins(members, Snapshot))
    assert caught.value.code == "cycle"


def test_a_rework_whose_characteristic_has_moved_bars_no_answer() -> None:
    """The parts list is its author's: another shop's change leaves this shop its answer."""
    members = sound()
    put(members, "characteristics/0/position_id", "pos_shim")
    put(members, "findings/0/position_id", "pos_shim")
    check_snapshot(from_builtins(members, Snapshot))
