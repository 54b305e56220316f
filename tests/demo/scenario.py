"""The demo scenario as snapshots, without database or HTTP: local keys serve as ids."""

from datetime import UTC, datetime
from typing import Any

from api.demo.records import CHANGES, read_records, resolve
from shared.decision.codec import from_builtins
from shared.decision.snapshot import Snapshot

AS_OF = datetime(2031, 3, 3, 7, 30, tzinfo=UTC)


class _Itself(dict[str, str]):
    def __missing__(self, key: str) -> str:
        return key


def bodies() -> dict[str, list[dict[str, Any]]]:
    """All bodies by resource, references resolved to keys, each with its key as ``id``."""
    found: dict[str, list[dict[str, Any]]] = {}
    for record in read_records():
        if record.resource != CHANGES:
            body = {"id": record.key, **resolve(record.body, _Itself(), AS_OF)}
            found.setdefault(record.resource, []).append(body)
    return found


def with_taken(unit: dict[str, Any], parts: list[dict[str, Any]]) -> dict[str, Any]:
    """A unit with the positions of which a salvaged part has left it."""
    taken = [part["position_id"] for part in parts if part["donor_unit_id"] == unit["id"]]
    return {**unit, "taken_position_ids": taken}


def demands_of(job_key: str, assembly_id: str) -> list[dict[str, Any]]:
    """What the other jobs that have no parts yet call for of an assembly's parts, by rising id."""
    found = bodies()
    units = {unit["id"]: unit for unit in found["units"]}
    others = [
        job
        for job in found["jobs"]
        if job["id"] != job_key
        and job["state"] in ("booked-in", "measured")
        and units[job["unit_id"]]["assembly_id"] == assembly_id
    ]
    wanted: dict[str, int] = {}
    for position in found["positions"]:
        if others and position["assembly_id"] == assembly_id and "part_id" in position:
            pieces = position.get("quantity", 1) * len(others)
            wanted[position["part_id"]] = wanted.get(position["part_id"], 0) + pieces
    return [
        {"part_id": part_id, "quantity": wanted[part_id], "jobs": len(others)}
        for part_id in sorted(wanted)
    ]


def snapshot_of(job_key: str, **changes: Any) -> Snapshot:
    """The snapshot of one of the scenario's jobs; ``changes`` replace whole members."""
    all_bodies = bodies()
    job = next(j for j in all_bodies["jobs"] if j["id"] == job_key)
    unit = next(u for u in all_bodies["units"] if u["id"] == job["unit_id"])
    assembly_id = unit["assembly_id"]

    def of_assembly(resource: str) -> list[dict[str, Any]]:
        rows = all_bodies.get(resource, [])
        return [row for row in rows if row.get("assembly_id") == assembly_id]

    positions = of_assembly("positions")
    position_ids = {p["id"] for p in positions}
    units = [with_taken(unit, all_bodies["salvaged-parts"]) for unit in of_assembly("units")]
    data = {
        "as_of": AS_OF.isoformat(),
        "job": job,
        "settings": all_bodies["shop-settings"][0],
        "assembly": next(a for a in all_bodies["assemblies"] if a["id"] == assembly_id),
        "units": units,
        "positions": positions,
        "access_groups": of_assembly("access-groups"),
        "position_sets": of_assembly("position-sets"),
        "operations": of_assembly("labour-operations"),
        "characteristics": [
            c for c in all_bodies["characteristics"] if c["position_id"] in position_ids
        ],
        "parts": all_bodies["parts"],
        "claims": of_assembly("interchange-claims"),
        "findings": [f for f in all_bodies["findings"] if f["position_id"] in position_ids],
        "gauges": all_bodies["gauges"],
        "shim_places": [
            place for place in all_bodies["shim-places"] if place["position_id"] in position_ids
        ],
        "shim_packs": [
            pack for pack in all_bodies["shim-packs"] if pack["unit_id"] == job["unit_id"]
        ],
        "suppliers": all_bodies["suppliers"],
        "exchange_rates": all_bodies["exchange-rates"],
        "demands": demands_of(job_key, assembly_id),
        "offers": [
            o
            for o in all_bodies["offers"]
            if o.get("assembly_id") in (None, assembly_id)
            and o.get("position_id") in (None, *position_ids)
        ],
        **changes,
    }
    return from_builtins(data, Snapshot)
