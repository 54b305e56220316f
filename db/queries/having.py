"""What a shop deals in and what it could have: conditions on a part, asked of each by index.

Each is a look-up per part, never a list of all that the shop offers or has: a shop may have very
much, and of a catalogue only a few parts are asked about at once.
"""

from typing import Any

from sqlalchemy import Column, ColumnElement, Select, Table, or_, select

from db.models.fasteners import stock_items
from db.models.interchange import kit_lines
from db.models.salvage import salvaged_parts
from db.models.sourcing import offers
from db.queries.access import Principal
from shared.salvage.model import SalvagedPartState


def deals_in(principal: Principal, part_id: Column[Any]) -> ColumnElement[bool]:
    """Return the condition that the shop has an offer for a part, or has or had one itself."""
    return or_(
        *(
            _own(table, principal, part_id).exists()
            for table in (offers, stock_items, salvaged_parts)
        )
    )


def can_have(principal: Principal, part_id: Column[Any]) -> ColumnElement[bool]:
    """Return the condition that the shop can buy a part, singly or in a kit, or has it shelved."""
    in_a_kit = select(kit_lines.c.kit_id).where(
        kit_lines.c.part_id == part_id, is_offered(principal, kit_lines.c.kit_id)
    )
    shelved = _own(salvaged_parts, principal, part_id).where(
        # Joined to nothing: an index on the state would read all that is on the shelf.
        salvaged_parts.c.state.concat("") == SalvagedPartState.SHELVED.value
    )
    return or_(is_offered(principal, part_id), in_a_kit.exists(), shelved.exists())


def is_offered(principal: Principal, part_id: Column[Any]) -> ColumnElement[bool]:
    """Return the condition that the shop has an offer for a part."""
    return _own(offers, principal, part_id).exists()


def _own(table: Table, principal: Principal, part_id: Column[Any]) -> Select[Any]:
    return (
        select(table.c.id)
        .where(table.c.shop_id == principal.shop_id, table.c.part_id == part_id)
        .correlate(part_id.table)
    )
