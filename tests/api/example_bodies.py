"""The small invented scenario behind the examples of the API's document.

One unit, a reduction drive with a noisy bearing, with something of every kind on it. ``BODIES`` is
posted from top to bottom; to give a new kind of record its examples, add one entry. The first entry
of a path is the one that the document shows. A body may name what was stored before::

    ("/positions", lambda made: {"assembly_id": made["/assemblies"], "name": "Input shaft"}),

``made[path]`` is the id of the first record of a path, ``made[path, 1]`` that of the second, and
``made.get(path, **query)`` reads whatever the API answers.
"""

import json
from collections.abc import Callable
from typing import Any, Protocol

from api.demo.records import seed_folder

Members = dict[str, Any]
AS_OF = "2031-03-04T09:15:00Z"


class Made(Protocol):
    """What was stored so far."""

    def __getitem__(self, path: str | tuple[str, int]) -> str: ...

    def get(self, path: str, **query: str) -> Any: ...


Body = Callable[[Made], Members]


def eur(amount: str) -> dict[str, str]:
    return {"amount": amount, "currency": "EUR"}


def mm(value: str, **more: str) -> dict[str, str]:
    return {"value": value, "unit": "mm", **more}


def _settings(_: Made) -> Members:
    return {
        "currency": "EUR",
        "pricing": {
            "labour_price_per_hour": eur("78.00"),
            "labour_cost_per_hour": eur("41.00"),
            "parts_markup": [{"percent": "40"}],
            "tax_percent": "21",
        },
        "warranty": {"warranty_hours": "500", "comeback_fixed_cost": eur("240.00")},
        "calendar": {
            "timezone": "Europe/Vilnius",
            "country": "LT",
            "weekdays": [1, 2, 3, 4, 5],
            "opens_at": "08:00",
            "closes_at": "17:00",
            "bench_hours_per_day": "6",
        },
        "rules": {"promise_confidence": "0.9", "interest_percent_per_year": "5"},
        "comeback_experience": [
            {"kind": "new", "prior_mean": "0.002", "prior_weight": "300", "basis": "estimate"},
        ],
        "salvage_experience": [
            {"prior_mean": "0.7", "prior_weight": "10", "good": 12, "trials": 15},
        ],
    }


def _part(number: str, name: str, kind: str, **more: Any) -> Body:
    maker = {"maker": "Oakhollow Drives", "number": number}
    return lambda _: {**maker, "name": name, "kind": kind, **more}


def _position(name: str, reference: str, part: int) -> Body:
    return lambda made: {
        "assembly_id": made["/assemblies"],
        "name": name,
        "reference": reference,
        "part_id": made["/parts", part],
        "access_group_id": made["/access-groups"],
    }


def _operation(kind: str, name: str, hours: tuple[str, str], **more: Any) -> Members:
    p50, p90 = hours
    times = {"p50_hours": p50, "p90_hours": p90, "basis": "shop-record"}
    return {"kind": kind, "name": name, **times, **more}


def _offer(made: Made, part: int, price: str, **more: Any) -> Members:
    return {
        "supplier_id": made["/suppliers"],
        "kind": "goods",
        "description": "Tapered roller bearing, " + ("cone", "cup")[part],
        "price": eur(price),
        "p50_days": "2",
        "p90_days": "4",
        "part_id": made["/parts", part],
        "condition": "new",
        "warranty_cover": "part",
        **more,
    }


_PULLING: Members = {
    "features": [
        {"kind": "thread", "designation": "M8x1.25", "count": 2},
        {"kind": "plate-thickness", "size": mm("14")},
        {"kind": "reach", "size": mm("16")},
        {"kind": "travel", "size": mm("9")},
        {"kind": "wall", "size": mm("6")},
    ],
    "force": {"value": "3.5", "unit": "kN"},
    "force_highest": {"value": "4.5", "unit": "kN"},
    "workpiece_material": "cast aluminium",
    "pushed_material": "S355",
    "is_symmetric": True,
    "uses": [],
    "in_the_way": "nothing",
    "lubrication": "oiled",
}
_JACKING: Members = {
    "designation": "M8x1.25x60",
    "worth": eur("0.45"),
    "property_class": "8.8",
    "form": "screw",
    "features": [{"kind": "thread-length", "size": mm("56")}],
    "tip": "flat",
}


def _tool_offer(made: Made) -> Members:
    return {
        **_offer(made, 0, "148.00"),
        "description": "Cover puller",
        "part_id": made["/parts", 3],
    }


_BREAKS = [{"from_quantity": 10, "price": eur("28.60")}]


def _decision(made: Made) -> Members:
    options = made.get(f"/v1/jobs/{made['/jobs']}/options", as_of=AS_OF)
    return {
        "plan_id": options["recommended"],
        "decided_by": "service desk",
        "reason": "Cheapest of those that are ready in time.",
        "as_of": AS_OF,
        "snapshot_hash": options["snapshot_hash"],
    }


def _whole_snapshot(_: Made) -> Members:
    text = (seed_folder() / "whole-snapshot.json").read_text("utf-8")
    return dict(json.loads(text))


BODIES: tuple[tuple[str, Body], ...] = (
    ("/shop-settings", _settings),
    (
        "/parts",
        _part(
            "OH-4417",
            "Input bearing, cone",
            "roller-bearing",
            other_numbers=[
                {"kind": "trade", "text": "30207", "source": "Maker's parts book of 2027"},
                {"kind": "book-position", "text": "3-11-28", "source": "Maker's parts book"},
            ],
        ),
    ),
    ("/parts", _part("OH-4418", "Input bearing, cup", "roller-bearing")),
    ("/parts", _part("OH-9021", "Input bearing, cone, reinforced", "roller-bearing")),
    ("/parts", _part("OH-T-17", "Cover puller", "special-tool")),
    (
        "/number-rules",
        lambda _: {
            "maker": "Oakhollow Drives",
            "source": "Maker's parts book, page 2",
            "base_length": 6,
            "default_suffix": "00",
            "note": "The last two figures are the batch.",
        },
    ),
    (
        "/assemblies",
        lambda _: {
            "maker": "Oakhollow Drives",
            "model": "LF-2",
            "kind": "two-speed reduction drive",
            "serial_from": "10001",
            "serial_to": "14999",
            "notes": "Oil: 0.9 L.",
        },
    ),
    (
        "/access-groups",
        lambda made: {"assembly_id": made["/assemblies"], "name": "Case parted"},
    ),
    ("/positions", _position("Input bearing, cone", "17", 0)),
    ("/positions", _position("Input bearing, cup", "18", 1)),
    (
        "/position-sets",
        lambda made: {
            "assembly_id": made["/assemblies"],
            "kind": "renewed-together",
            "name": "Input bearing",
            "position_ids": [made["/positions"], made["/positions", 1]],
        },
    ),
    (
        "/labour-operations",
        lambda made: _operation(
            "open",
            "Part the case",
            ("0.8", "1.2"),
            assembly_id=made["/assemblies"],
            access_group_id=made["/access-groups"],
        ),
    ),
    (
        "/labour-operations",
        lambda made: _operation(
            "close",
            "Close the case",
            ("0.5", "0.7"),
            assembly_id=made["/assemblies"],
            access_group_id=made["/access-groups"],
        ),
    ),
    (
        "/labour-operations",
        lambda made: _operation(
            "renew",
            "Renew the cone",
            ("0.6", "0.9"),
            assembly_id=made["/assemblies"],
            position_id=made["/positions"],
        ),
    ),
    (
        "/labour-operations",
        lambda made: _operation(
            "renew",
            "Renew the cup",
            ("0.3", "0.4"),
            assembly_id=made["/assemblies"],
            position_id=made["/positions", 1],
        ),
    ),
    (
        "/characteristics",
        lambda made: {
            "position_id": made["/positions"],
            "name": "Bore",
            "service_lower": mm("34.985"),
            "service_upper": mm("35.005"),
            "limits_source": "Shop's own record",
        },
    ),
    (
        "/serviceability-rulings",
        lambda made: {
            "position_id": made["/positions"],
            "ruling": "serviceable",
            "evidence": "Seats measured: standard sizes.",
            "ruled_by": "bench two",
        },
    ),
    (
        "/interchange-claims",
        lambda made: {
            "part_id": made["/parts"],
            "stand_in_part_id": made["/parts", 2],
            "evidence_kind": "fitted-and-run",
            "evidence": "Fitted in job 118, 400 h so far.",
            "assembly_id": made["/assemblies"],
            "rework_note": "Relieve the shoulder by 0.5 mm.",
            "rework_p50_hours": "0.3",
            "rework_p90_hours": "0.5",
            "to_check": ["Height of the shaft's shoulder."],
            "form": "differs",
            "fit": "same",
            "function": "same",
            "differences": [
                {
                    "aspect": "load",
                    "difference": "More rollers: a greater dynamic load rating.",
                    "effect": "None that harms; it may be loaded more.",
                }
            ],
            "stated_on": "2030-11-02",
        },
    ),
    (
        "/units",
        lambda made: {
            "assembly_id": made["/assemblies"],
            "kind": "customer",
            "serial_number": "12873",
            "lower_hours": "800",
            "upper_hours": "1400",
            "built_on": "2028-06-14",
            "ratio": "12.4",
            "generation": "second",
        },
    ),
    (
        "/units",
        lambda made: {
            "assembly_id": made["/assemblies"],
            "kind": "donor",
            "serial_number": "11402",
            "built_on": "2027-11-30",
            "ratio": "12.4",
            "generation": "second",
            "reason_retired": "wear",
            "released_on": "2031-02-11",
            "donor": {
                "is_owned": False,
                "price": eur("120.00"),
                "freight": eur("48.00"),
                "remainder_worth": eur("40.00"),
                "part_worths": [{"position_id": made["/positions"], "worth": eur("15.00")}],
            },
        },
    ),
    (
        "/units",
        lambda made: {
            "assembly_id": made["/assemblies"],
            "kind": "donor",
            "serial_number": "13077",
            "ratio": "12.4",
            "provenance": "Yard lot, stood under cover.",
            "reason_retired": "seizure",
            "released_on": "2031-02-20",
            "donor": {
                "is_owned": True,
                "undisturbed_worth": eur("90.00"),
                "remainder_worth": eur("30.00"),
                "strip_p50_hours": "1.0",
                "strip_p90_hours": "1.6",
            },
        },
    ),
    (
        "/gauges",
        lambda _: {
            "name": "Bore gauge 35-60, No. 2",
            "kind": "bore-gauge",
            "serial_number": "7731",
            "standard_uncertainty": mm("0.004"),
            "common_uncertainty": mm("0.002"),
            "master": "Setting ring 40 mm",
            "calibrated_on": "2026-01-12",
            "calibration_months": 12,
            "reads_from": mm("35"),
            "reads_up_to": mm("60"),
        },
    ),
    (
        "/findings",
        lambda made: {
            "unit_id": made["/units"],
            "position_id": made["/positions"],
            "characteristic_id": made["/characteristics"],
            "found_by": "bench two",
            "found_at": "2026-03-03T14:20:00Z",
            "method": "gauge",
            "measured": mm("35.021", standard_uncertainty="0.002"),
            "gauge": "bore gauge",
            "is_cleaned": True,
        },
    ),
    (
        "/units/{record_id}/findings",
        lambda made: {
            "found_by": "bench two",
            "found_at": "2026-03-03T15:05:00Z",
            "unit_hours": "1480",
            "items": [
                {
                    "client_id": "tablet-3/117",
                    "position_id": made["/positions"],
                    "characteristic_id": made["/characteristics"],
                    "method": "gauge",
                    "readings": [
                        {"size": mm("35.019"), "plane": "A", "direction": "X"},
                        {"size": mm("35.024"), "plane": "A", "direction": "Y"},
                    ],
                    "gauge_id": made["/gauges"],
                },
                {
                    "client_id": "tablet-3/118",
                    "position_id": made["/positions"],
                    "characteristic_id": made["/characteristics"],
                    "method": "gauge",
                    "at_least": mm("35.00"),
                    "at_most": mm("35.03"),
                    "gauge": "limit plug gauge",
                    "supersedes_client_id": "tablet-3/117",
                },
            ],
        },
    ),
    (
        "/suppliers",
        lambda _: {
            "name": "Plain Bearings & Co",
            "freight": eur("9.50"),
            "delivery": "consolidated",
            "order_cutoff": "15:30",
            "minimum_order": eur("25.00"),
            "below_minimum": "fee",
            "small_order_fee": eur("6.00"),
            "free_freight_from": eur("150.00"),
        },
    ),
    ("/offers", lambda made: _offer(made, 0, "31.80", price_breaks=_BREAKS)),
    ("/offers", lambda made: _offer(made, 1, "14.20")),
    (
        "/exchange-rates",
        lambda _: {
            "currency": "SEK",
            "in_currency": "EUR",
            "rate": "0.0874",
            "holds_from": "2031-03-03",
            "source": "Bank's selling rate of the day",
        },
    ),
    (
        "/jobs",
        lambda made: {
            "unit_id": made["/units"],
            "complaint": "Howls at speed, oil under it.",
            "cause": "Seal worn, bearing ran dry.",
            "horizon_hours": "2000",
            "required_by_on": "2031-03-17",
            "waiting": {
                "kind": "loan",
                "cost_per_day": eur("12.00"),
                "price_per_day": eur("18.00"),
                "description": "The yard's own spare drive",
            },
            "hours_per_year": "600",
        },
    ),
    (
        "/cautions",
        lambda made: {
            "kind": "handling",
            "text": "Cone and cup of the input bearing stay a pair.",
            "source": "Maker's book, chapter 3",
            "position_id": made["/positions"],
        },
    ),
    (
        "/supersessions",
        lambda made: {
            "earlier_part_id": made["/parts"],
            "evidence_kind": "maker-bulletin",
            "evidence": "Maker's bulletin 12 of 2029.",
            "later_lines": [{"part_id": made["/parts", 2], "quantity": 1}],
            "effective_on": "2029-04-01",
            "note": "Stronger cage.",
        },
    ),
    (
        "/special-tools",
        lambda made: {
            "name": "Cover puller",
            "function": "separate",
            "number": "OH-T-17",
            "maker": "Oakhollow Drives",
            "assembly_id": made["/assemblies"],
            "labour_operation_ids": [made["/labour-operations"]],
            "part_id": made["/parts", 3],
            **_PULLING,
        },
    ),
    (
        "/stock-items",
        lambda _: {
            "name": "Hexagon screw M8x60",
            "kind": "screw",
            "quantity": 12,
            "shelf": "drawer 4",
            "minimum_quantity": 10,
            **_JACKING,
        },
    ),
    ("/offers", _tool_offer),
    (
        "/shim-places",
        lambda made: {
            "position_id": made["/positions"],
            "name": "input shaft, drive side",
            "effect": "more-shims-increase",
            "sizes": [{"thickness": mm("0.15")}, {"thickness": mm("0.30")}],
            "rule": {
                "aim": "middle",
                "most_shims": 3,
                "step": mm("0.05"),
                "rounding": "nearest",
                "source": "Maker's book, page 41",
            },
            "disturbed_by_position_ids": [made["/positions"]],
            "seating": "Turn the shaft ten times each way: the bearings seat.",
            "source": "Maker's book, page 40",
        },
    ),
    (
        "/shim-packs",
        lambda made: {
            "unit_id": made["/units"],
            "place": "input shaft, drive side",
            "sets": "end float of the input shaft",
            "effect": "more-shims-increase",
            "stage": "as-found",
            "recorded_by": "bench two",
            "recorded_on": "2026-03-03",
            "shims": [
                {"thickness": mm("0.15"), "quantity": 2},
                {"thickness": mm("0.30"), "is_broken": True},
            ],
        },
    ),
    (
        "/salvaged-parts",
        lambda made: {
            "donor_unit_id": made["/units", 1],
            "position_id": made["/positions"],
            "removed_on": "2031-02-18",
            "removed_by": "bench two",
            "label": "S-0418",
            "lower_hours": "800",
            "upper_hours": "1400",
            "state": "shelved",
            "inspected_by": "bench one",
            "inspected_on": "2031-02-19",
            "shelf": "rack 3, bin 7",
            "worth": eur("12.00"),
        },
    ),
    (
        "/reservations",
        lambda made: {
            "salvaged_part_id": made["/salvaged-parts"],
            "job_id": made["/jobs"],
            "reserved_by": "service desk",
            "expires_at": "2031-03-18T17:00:00Z",
            "note": "Until the customer calls back.",
        },
    ),
    (
        "/deliveries",
        lambda made: {
            "supplier_id": made["/suppliers"],
            "ordered_at": "2031-03-04T09:15:00Z",
            "lines": [
                {"quantity": 1, "offer_id": made["/offers", 1]},
                {"quantity": 1, "description": "Grease, one tin"},
            ],
            "job_id": made["/jobs"],
            "promised_on": "2031-03-06",
        },
    ),
    ("/jobs/{job_id}/decisions", _decision),
    (
        "/fitments",
        lambda made: {
            "job_id": made["/jobs"],
            "position_id": made["/positions", 1],
            "fitted_on": "2031-03-04",
            "fitted_by": "bench two",
            "part_id": made["/parts", 1],
        },
    ),
    (
        "/outcomes",
        lambda made: {
            "job_id": made["/jobs"],
            "decision_id": made["/decisions"],
            "handed_over_on": "2031-03-14",
            "actual_cost": eur("141.10"),
            "actual_price": eur("262.00"),
            "bench_hours": "2.5",
        },
    ),
    ("/decisions/{record_id}/replays", lambda _: {}),
    (
        "/calculations/conformity",
        lambda _: {
            "measured": mm("39.71", standard_uncertainty="0.04"),
            "lower_limit": mm("39.75"),
            "acceptance_probability": "0.95",
        },
    ),
    (
        "/calculations/form",
        lambda _: {
            "readings": [
                {"size": mm(size), "plane": plane, "direction": direction}
                for size, plane, direction in (
                    ("77.020", "top", "x"),
                    ("77.018", "top", "y"),
                    ("77.012", "middle", "x"),
                    ("77.010", "middle", "y"),
                    ("77.005", "bottom", "x"),
                    ("77.004", "bottom", "y"),
                )
            ],
            "feature": "bore",
            "upper_limit": mm("77.060"),
            "out_of_round_limit": mm("0.005"),
            "out_of_round_by": "overall",
            "taper_limit": mm("0.005"),
            "gauge_uncertainty": mm("0.003"),
            "common_uncertainty": mm("0.002"),
        },
    ),
    (
        "/calculations/derived-measure",
        lambda _: {
            "terms": [
                {
                    "name": "bore",
                    "measured": mm("50.045", standard_uncertainty="0.004"),
                    "gauge": "bore gauge 2",
                    "master": "ring 50",
                    "common_uncertainty": mm("0.002"),
                },
                {
                    "name": "journal",
                    "measured": mm("49.985", standard_uncertainty="0.003"),
                    "factor": "-1",
                    "gauge": "micrometer 4",
                },
            ],
            "marks": [
                {"name": "mark", "mark": "1", "unit": mm("0.001"), "larger_mark": "subtracts"}
            ],
            "upper_limit": mm("0.070"),
        },
    ),
    (
        "/calculations/wear",
        lambda _: {
            "points": [
                {"hours": "1200", "size": mm("35.009", standard_uncertainty="0.002")},
                {"hours": "4000", "size": mm("35.018", standard_uncertainty="0.002")},
            ],
            "new_size": mm("35.004", plus_minus="0.004"),
            "limit": mm("35.030"),
            "wears_towards": "upper",
            "limit_is": "service",
            "inspection_cap_hours": "2000",
            "chance_within_hours": "1000",
        },
    ),
    (
        "/calculations/fit-condition",
        lambda _: {
            "nominal": mm("52"),
            "hole_class": "H7",
            "shaft_class": "h6",
            "hole": mm("52.021", standard_uncertainty="0.005"),
            "shaft": mm("51.992", standard_uncertainty="0.004"),
            "hole_material": "cast aluminium",
            "shaft_material": "steel",
            "temperatures": [
                {"hole": {"value": "80", "unit": "°C"}, "shaft": {"value": "80", "unit": "°C"}}
            ],
        },
    ),
    (
        "/calculations/table-choice",
        lambda _: {
            "measured": {"value": "0.034", "unit": "in"},
            "corrections": [
                {
                    "what": "bottom washers",
                    "measured": [
                        {"value": "0.117", "unit": "in"},
                        {"value": "0.116", "unit": "in"},
                    ],
                    "new": {"value": "0.244", "unit": "in"},
                }
            ],
            "rows": [
                {
                    "says": "standard",
                    "upper": {"value": "0.016", "unit": "in"},
                    "is_upper_excluded": True,
                },
                {
                    "says": "0.005 in oversize",
                    "lower": {"value": "0.017", "unit": "in"},
                    "upper": {"value": "0.026", "unit": "in"},
                },
            ],
        },
    ),
    (
        "/calculations/torque",
        lambda _: {
            "designation": "M8x1.25x40 10.9",
            "replaces": "M8x1.25x40 8.8",
            "lubrication": "oiled",
            "hole_material": "cast aluminium",
            "engagement": mm("16"),
            "head_seat_material": "S355",
        },
    ),
    (
        "/calculations/tightening-angle",
        lambda _: {
            "designation": "M10x1.5x70 10.9",
            "snug_torque": {"value": "30", "unit": "N·m"},
            "angle": {"value": "30", "unit": "deg"},
            "clamp_length": mm("50"),
            "lubrication": "oiled",
        },
    ),
    (
        "/calculations/thread-engagement",
        lambda _: {
            "designation": "M8x1.25 8.8",
            "hole_material": "S355",
            "engagement": mm("10"),
        },
    ),
    (
        "/calculations/wrench-setting",
        lambda _: {
            "target": {"value": "90", "unit": "N·m"},
            "wrench_length": mm("300"),
            "adapter_length": mm("25"),
            "position": "in line",
        },
    ),
    (
        "/calculations/torque-chart",
        lambda _: {
            "torque": {"value": "23", "unit": "ft-lb"},
            "chart_condition": "lubricated",
            "own_condition": "dry",
            "lubricated_share": "0.8",
            "rows": [
                {"designation": "M6", "torque": {"value": "8.6", "unit": "N·m"}},
                {"designation": "M8", "torque": {"value": "8.6", "unit": "N·m"}},
            ],
        },
    ),
    (
        "/calculations/substitutes",
        lambda _: {
            "requirement": {"function": "separate", "name": "Cover puller", **_PULLING},
            "items": [
                {"name": "Hexagon screw M8x60", "quantity": 12, **_JACKING},
                {"name": "Screw 5/16-18 x 1-1/2", "designation": "5/16-18 UNC x 1-1/2"},
            ],
            "offers": [{"kind": "hire", "name": "Puller for a day", "price": eur("38.00")}],
            "jobs_to_come": 3,
            "include_standard_items": False,
        },
    ),
    (
        "/calculations/gear-ratio",
        lambda _: {
            "turns": {"input_turns": "1.86", "output_turns": "1", "held": "other-wheel"},
            "candidates": ["3.07", "3.55", "3.73", "4.10"],
            "needed": "3.55",
        },
    ),
    (
        "/calculations/shims-by-marks",
        lambda _: {
            "mark_unit": mm("0.01"),
            "changed": ["gears"],
            "larger_mark": "thicker",
            "places": [
                {
                    "name": "pinion",
                    "marked_on": "gears",
                    "old_mark": "+8",
                    "new_mark": "+22",
                    "old_shim": mm("1.00"),
                }
            ],
            "shims": [mm("1.10"), mm("1.15")],
            "rule": "nearest-not-thicker",
        },
    ),
    (
        "/calculations/shim-pack",
        lambda _: {
            "measured_gap": mm("0.47", standard_uncertainty="0.004"),
            "clearance_lower": mm("0.06"),
            "clearance_upper": mm("0.11"),
            "stock": [
                {"thickness": mm("0.15"), "quantity": 2},
                {"thickness": mm("0.20"), "quantity": 1},
            ],
            "sizes": [{"thickness": mm("0.10")}, {"thickness": mm("0.38")}],
            "max_shims": 3,
        },
    ),
    ("/calculations/hardness", lambda _: {"value": "32", "scale": "HRC", "to": "HV"}),
    (
        "/calculations/thread-pair",
        lambda _: {"screw": "5/16-18 UNC", "hole": "M8x1.25", "engagement": mm("6")},
    ),
    ("/calculations/decision", _whole_snapshot),
    (
        "/calculations/equivalent-annual-cost",
        lambda _: {
            "rate_percent_per_year": "5",
            "options": [
                {
                    "name": "Rebuild it",
                    "first_cost": eur("2400.00"),
                    "cost_per_year": eur("260.00"),
                    "years": "3",
                },
                {
                    "name": "Buy a new drive",
                    "first_cost": eur("6900.00"),
                    "cost_per_year": eur("150.00"),
                    "years": "8",
                    "worth_at_end": eur("400.00"),
                },
            ],
        },
    ),
    (
        "/calculations/outlay",
        lambda _: {
            "outlay": {"lower": eur("1045.00"), "upper": eur("1075.00")},
            "without_outlay_per_job": {"lower": eur("300.00"), "upper": eur("400.00")},
            "either_way_per_job": {"lower": eur("500.00"), "upper": eur("600.00")},
        },
    ),
    (
        "/calculations/replacement-age",
        lambda _: {
            "shape": "2.5",
            "scale": {"value": "1000", "unit": "h"},
            "planned_cost": eur("100.00"),
            "failure_cost": eur("500.00"),
        },
    ),
    (
        "/calculations/repair-limit",
        lambda _: {
            "replacement_cost": eur("1000.00"),
            "ages": [
                {"failure_probability": "0.1", "mean_repair_cost": eur("100.00")},
                {"failure_probability": "0.3", "mean_repair_cost": eur("200.00")},
                {"failure_probability": "0.5", "mean_repair_cost": eur("300.00")},
            ],
        },
    ),
    (
        "/calculations/o-ring-groove",
        lambda _: {
            "cord": mm("2.5", plus_minus="0.08"),
            "groove_depth": {"value": "0.077", "unit": "in"},
            "groove_diameter": mm("26"),
            "ring_inside": mm("24.99"),
        },
    ),
    (
        "/calculations/lead-time",
        lambda _: {
            "arrivals": [
                {"p50_days": "2", "p90_days": "4", "order_cutoff": "11:00"},
                {"p50_days": "1", "p90_days": "2"},
            ],
            "as_of": "2031-03-03T07:30:00Z",
            "confidence": "0.9",
            "calendar": {
                "timezone": "Europe/Vilnius",
                "country": "LT",
                "bench_hours_per_day": "6",
            },
            "bench_hours": "9.5",
        },
    ),
    (
        "/calculations/life",
        lambda _: {
            "shape": "2",
            "scale": {"value": "1000", "unit": "h"},
            "age": {"value": "500", "unit": "h"},
            "horizon": {"value": "300", "unit": "h"},
        },
    ),
    (
        "/calculations/life-fit",
        lambda _: {
            "failures": [{"hours": hours} for hours in ("410", "700", "960", "1300")],
            "suspended": [{"hours": "1500", "count": 2}],
            "at_hours": ["500"],
        },
    ),
    (
        "/calculations/series-life",
        lambda _: {
            "parts": [
                {
                    "name": "Input bearing",
                    "shape": "1.5",
                    "scale": {"value": "9000", "unit": "h"},
                    "age": {"value": "0", "unit": "h"},
                    "quantity": 2,
                },
                {
                    "name": "Shaft seal",
                    "shape": "2",
                    "scale": {"value": "6000", "unit": "h"},
                    "age": {"value": "1500", "unit": "h"},
                },
            ],
            "horizon": {"value": "2000", "unit": "h"},
            "common_cause": {"probability": "0.02", "within": {"value": "500", "unit": "h"}},
        },
    ),
    (
        "/calculations/bearing-life",
        lambda _: {
            "rolling": "ball",
            "dynamic_rating": {"value": "14", "unit": "kN"},
            "equivalent_load": {"value": "2", "unit": "kN"},
            "speed": {"value": "650", "unit": "1/min"},
            "reliability": "0.95",
            "wanted": {"value": "5000", "unit": "h"},
        },
    ),
    ("/calculations/success-run", lambda _: {"reliability": "0.9", "confidence": "0.95"}),
    (
        "/calculations/stress-strength",
        lambda _: {
            "stress": {"mean": "20", "standard_deviation": "6"},
            "strength": {"mean": "40", "standard_deviation": "7"},
        },
    ),
    (
        "/calculations/recurrence",
        lambda _: {
            "cause": "Bearing driven in askew",
            "cause_kind": "installation",
            "mechanism": "fatigue",
            "is_cause_removed": True,
            "cause_chances": [
                {
                    "cause_kind": "installation",
                    "probability": "0.03",
                    "basis": "own comebacks, 1 of 40 in three years",
                }
            ],
            "known": "0.02",
            "unknown": "0.10",
        },
    ),
)
"""Path below /v1 and body, in posting order: what is referred to comes first."""

CHANGES: dict[str, Members] = {
    "/access-groups": {"name": "Case parted, cover off"},
    "/position-sets": {"name": "Input bearing, both halves"},
    "/cautions": {"text": "Cone and cup of the input bearing stay a pair; mark them."},
    "/number-rules": {"note": "The last two figures are the batch, 00 if there is one only."},
    "/supersessions": {"serial_from": "12500", "assembly_id": None},
    "/special-tools": {"note": "Turn both screws evenly."},
    "/stock-items": {"quantity": 10},
    "/exchange-rates": {"source": "the bank's list of the day, page 2"},
    "/salvaged-parts": {"shelf": "rack 2, bin 1"},
    "/fitments": {"note": "Pressed in warm."},
    "/deliveries": {"arrived_on": "2031-03-07", "freight": eur("9.50")},
    "/reservations": {"state": "released"},
    "/outcomes": {"note": "Ran quiet on the stand."},
    "/parts": {"name": "Input bearing, cone, 35 mm"},
    "/assemblies": {"notes": "Oil: 0.9 L. Drain it warm."},
    "/positions": {"renewal_rule": "always"},
    "/labour-operations": {"p90_hours": "1.4"},
    "/characteristics": {"limits_source": "Maker's book, plate 4"},
    "/interchange-claims": {"evidence": "Fitted in jobs 118 and 131, 900 h so far."},
    "/units": {"upper_hours": "1200"},
    "/suppliers": {"order_cutoff": "16:00", "notes": None},
    "/offers": {"price": eur("32.40")},
    "/jobs": {"required_by_on": "2031-03-20"},
}
"""The merge patch that the document shows, by path; others change a note or a name."""

QUERIES: dict[str, dict[str, str]] = {
    "readOptions": {"as_of": AS_OF},
    "readCustomerOptions": {"as_of": AS_OF},
    "readQuantity": {"text": "22 ft-lb"},
    "readDesignation": {"text": "1/4-20 x 1-1/2"},
    "rateMaterialsOfOrings": {"fluid": "mineral oil", "temperature": "90"},
    "readFastener": {"designation": "M8x1.25x40 8.8"},
    "listEquivalents": {"designation": "M8x1.25x40 8.8"},
    "identifyHexagonHeads": {"across_flats": "14", "major": "10"},
    "listLookAlikes": {"thread": "M8x1.25"},
    "findPartNumbers": {"text": "oh 4417"},
    "readPositionCandidates": {"serial": "12873", "as_of": AS_OF},
    "readPartCandidates": {"as_of": AS_OF},
    "readNewestNumbers": {"as_of": AS_OF},
    "readWearTrends": {"confidence": "0.95"},
    "readShimChoices": {"unit": "mm"},
    "readDonors": {"ratio": "12.4", "serial": "12873", "as_of": AS_OF},
    "readInspectionSheet": {"as_of": AS_OF},
    "readSubstitutes": {"as_of": AS_OF, "include_standard_items": "false"},
    "compareDesignations": {
        "wanted": "6203N1",
        "offered": "6203-2RS",
        "described": "ball bearing",
    },
    "identifyBallBearings": {"bore": "20", "outside": "47", "width": "14", "plus_minus": "0.05"},
    "identifyRollerBearings": {"bore": "25", "outside": "52", "width": "15"},
    "identifyNeedleBearings": {"bore": "16", "outside": "22", "width": "12"},
    "identifyTaperedBearings": {"bore": "25", "outside": "52", "width": "16.25"},
    "identifyThrustBearings": {"bore": "25", "outside": "42", "width": "11"},
    "identifyShaftSeals": {"shaft": "25", "housing": "47", "width": "7", "measured_on": "seat"},
    "identifyOrings": {"inside": "25.0", "section": "3.5", "state": "used", "limit": "3"},
    "identifyRetainingRings": {"diameter": "25", "thickness": "1.2", "fits": "shaft"},
    "identifyKeys": {"width": "7.98", "height": "7"},
    "identifyShims": {"inside": "25.1", "outside": "34.9", "thickness": "0.5"},
    "identifyThreads": {"major": "6.30", "pitch": "1.0", "state": "used"},
    "readFits": {"nominal": "25", "classes": "H7,g6"},
    "listParts": {"limit": "2"},
    "listAuditEntries": {"limit": "3"},
}
"""What is asked along with a GET, by operation id; lists are asked for whole."""

PATHS: dict[str, str] = {"problem_type": "validation"}
"""Values of path parameters that name no stored record."""


def _health(answer: Members) -> Members:
    shown = {
        "version": "3.53.4",
        "revision": "2031_01_07_first_tables",
        "wal_reset_fault": False,
        "wal_reset_fault_met_by": None,
    }
    database = {name: shown.get(name, value) for name, value in answer["database"].items()}
    return {**answer, "version": "0.1.0", "database": database}


def _document(answer: Members) -> Members:
    info = {**answer["info"], "version": "0.1.0"}
    return {"openapi": answer["openapi"], "info": info, "paths": {}}


SHOWN: dict[str, Callable[[Members], Members]] = {
    "readHealth": _health,
    "readOpenapi": _document,
    "listUnitCodes": lambda answer: {**answer, "items": answer["items"][:3]},
    "listLookAlikes": lambda answer: {**answer, "items": answer["items"][:3]},
}
"""How an answer is shown that is long, or that another machine gives otherwise."""
