"""Small jobs about a worn pump: what may take its place, and from where."""

from decimal import Decimal

from tests.snapshots import (
    Members,
    best,
    donor,
    goods,
    looks,
    own_unit,
    part,
    position,
    settings,
    snapshot,
    supplier,
    work,
)

EXPERIENCE = [{"prior_mean": "0.9", "prior_weight": "10"}]


def worn(*keys: str, **members) -> Members:
    """A worn pump among the parts ``pump`` and ``keys``; nothing is on offer unless told."""
    base = {
        "parts": [part("pump"), *(part(key, kind="pump") for key in keys)],
        "positions": [position("pump")],
        "suppliers": [supplier("a"), supplier("b")],
        **looks(pump="heavy"),
    }
    return snapshot(**{**base, **members})


def claim(key: str = "1", **members) -> Members:
    return {
        "id": f"clm_{key}",
        "part_id": "prt_pump",
        "stand_in_part_id": "prt_other",
        "evidence_kind": "fitted-and-run",
        "evidence": "run for a season",
        **members,
    }


def later(earlier: str, *lines: tuple[str, int], key: str = "1", **members) -> Members:
    return {
        "id": f"sup_{key}",
        "earlier_part_id": f"prt_{earlier}",
        "later_lines": [{"part_id": f"prt_{name}", "quantity": count} for name, count in lines],
        "evidence_kind": "maker-bulletin",
        "evidence": "bulletin 7",
        **members,
    }


def along(key: str, quantity: int = 1) -> list[Members]:
    return [{"part_id": f"prt_{key}", "quantity": quantity}]


def line_notes(plan, name: str = "pump") -> str:
    return "; ".join(next(line.notes for line in plan.lines if line.position_name == name))


def total(members: Members) -> Decimal:
    return best(members).expected_total.amount


def gift(**members) -> Members:
    return {
        "unit_id": "unt_d",
        "position": {
            "id": "pos_there",
            "assembly_id": "asm_2",
            "name": "circulator",
            "part_id": "prt_pump",
            **members.pop("position", {}),
        },
        "to_position_id": "pos_pump",
        **members,
    }


def elsewhere(*gifts: Members, donor_members: Members | None = None, **members) -> Members:
    """A worn pump, new for 200; a donor of another assembly worth 5 holds a pump."""
    given = {
        "settings": settings(salvage_experience=EXPERIENCE),
        "units": [own_unit(), donor("d", worth="5", assembly_id="asm_2", **(donor_members or {}))],
        "gifts": list(gifts) or [gift()],
        "offers": [goods("pump", "a", "200")],
        "operations": [work("pump", "harvest", "1", position_id="pos_pump")],
    }
    return worn("other", **{**given, **members})
