"""What a shop has of the scenario already: found by what it says, whoever put it there and when."""

import re
from decimal import Decimal
from typing import Any

import httpx

_FILTERS = {
    "shop-settings": (),
    "suppliers": ("name",),
    "exchange-rates": ("currency", "in_currency"),
    "supersessions": ("earlier_part_id", "assembly_id"),
    "access-groups": ("assembly_id",),
    "positions": ("assembly_id",),
    "position-sets": ("assembly_id",),
    "labour-operations": ("assembly_id", "kind"),
    "special-tools": ("assembly_id", "name"),
    "cautions": ("assembly_id", "position_id", "labour_operation_id", "part_id", "special_tool_id"),
    "characteristics": ("position_id",),
    "interchange-claims": ("part_id", "stand_in_part_id"),
    "stock-items": ("name",),
    "findings": ("unit_id", "position_id"),
    "offers": ("supplier_id", "part_id", "assembly_id", "position_id"),
    "jobs": ("unit_id",),
    "shim-places": ("position_id",),
    "shim-packs": ("unit_id",),
    "salvaged-parts": ("label",),
    "reservations": ("salvaged_part_id", "job_id"),
    "deliveries": ("supplier_id", "job_id"),
    "fitments": ("job_id", "position_id"),
    "outcomes": ("job_id",),
}
"""By which members of its body a record is looked for; the list of its kind can be narrowed so.

Parts, assemblies and units are not looked for: the server knows a second one and names the first.
"""
_TOLD_BY = {
    "jobs": ("unit_id",),
    "findings": ("client_id",),
    "salvaged-parts": ("label",),
    "shim-packs": ("unit_id", "place", "stage"),
    "reservations": ("salvaged_part_id", "job_id"),
    "fitments": ("job_id", "position_id", "piece"),
}
"""What tells a record that moves on after it is posted: its other members may be others by then."""
_NUMBER = re.compile(r"-?(0|[1-9][0-9]{0,14})(\.[0-9]{1,6})?")


def find(client: httpx.Client, resource: str, body: dict[str, Any]) -> dict[str, Any] | None:
    """The record that says what ``body`` says, the oldest of several; None: none was found.

    Raises httpx.HTTPStatusError where the server does not answer with the list.
    """
    if resource not in _FILTERS:
        return None
    query = {name: body[name] for name in _FILTERS[resource] if body.get(name) is not None}
    answer = client.get(f"/v1/{resource}", params={**query, "limit": "200"})
    answer.raise_for_status()
    wanted = _told(resource, body)
    found: dict[str, Any] | None
    found = next((one for one in answer.json()["items"] if says(one, wanted)), None)
    return found


def _told(resource: str, body: dict[str, Any]) -> dict[str, Any]:
    """The members that a record is told by; a piece that is not named is the first."""
    if resource not in _TOLD_BY:
        return body
    return {name: body.get(name, 1) for name in _TOLD_BY[resource]}


def says(stored: Any, body: Any) -> bool:
    """Whether a stored record says all that a body says; it may say more.

    >>> says({"hours": "1", "piece": 1, "note": None}, {"hours": "1.0", "piece": 1})
    True
    >>> says({"serial_number": "0417"}, {"serial_number": "417"})
    False
    """
    if isinstance(body, dict):
        return isinstance(stored, dict) and all(says(stored.get(n), v) for n, v in body.items())
    if isinstance(body, list):
        return (
            isinstance(stored, list)
            and len(stored) == len(body)
            and all(says(one, other) for one, other in zip(stored, body, strict=True))
        )
    return bool(stored == body) or _is_same_number(stored, body)


def _is_same_number(stored: Any, body: Any) -> bool:
    """Whether two texts are one decimal, written with more or fewer zeros behind the point."""
    if not isinstance(stored, str) or not isinstance(body, str):
        return False
    return all(map(_NUMBER.fullmatch, (stored, body))) and Decimal(stored) == Decimal(body)
