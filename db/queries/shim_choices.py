"""What the choice of a unit's shims is told from."""

from collections.abc import Sequence

from sqlalchemy import ColumnElement
from sqlalchemy.orm import Session

from db.models.condition import shim_packs
from db.models.fasteners import stock_items
from db.models.shims import shim_places
from db.queries import store
from db.queries.access import Principal
from db.queries.assemblies import POSITIONS
from db.queries.condition import SHIM_PACKS
from db.queries.fasteners import STOCK_ITEMS
from db.queries.mapping import in_steps, load
from db.queries.shim_places import SHIM_PLACES
from db.queries.unit_records import UnitRecords
from shared.condition.shim_place import ShimPlace
from shared.condition.shims.choices_of_unit import OnHand, ShimRecords
from shared.errors import InvalidInput


def shim_records(
    session: Session, principal: Principal, unit_id: str, shim_place_id: str | None
) -> ShimRecords:
    """Return a unit with its places for shims (or one of them), packs, findings, and the stock.

    The number of statements does not depend on the number of records. Raises NotFound for an
    unknown unit, InvalidInput ("/shim_place_id") for a place that its design has not.
    """
    found = UnitRecords(session, principal, unit_id)
    at: list[ColumnElement[bool]] = [shim_places.c.position_id.in_(found.position_ids)]
    if shim_place_id is not None:
        at.append(shim_places.c.id == shim_place_id)
    places = found.where(SHIM_PLACES, *at)
    if shim_place_id is not None and not places:
        raise InvalidInput(
            "/shim_place_id",
            f"The unit's design has no place for shims '{shim_place_id}'.",
            f"Give a place of the assembly '{found.unit.assembly_id}', or leave it out.",
            "reference-unknown",
        )
    packed = store.visible(SHIM_PACKS, principal).where(shim_packs.c.unit_id == unit_id)
    packs = load(session, SHIM_PACKS, packed.order_by(shim_packs.c.id))
    return ShimRecords(
        found.unit,
        places,
        found.of_assembly(POSITIONS),
        found.characteristics(),
        found.findings(),
        found.gauges(),
        tuple(one.record for one in packs),
        _on_hand(session, principal, places),
        found.rules.conformity_probability,
        found.rules.conformity_rule,
        {one.record.id: one.created_at for one in packs},
    )


def _on_hand(
    session: Session, principal: Principal, places: Sequence[ShimPlace]
) -> tuple[OnHand, ...]:
    """Return what the shop has of the parts sold for the places, by rising id."""
    part_ids = sorted({size.part_id for one in places for size in one.sizes if size.part_id})
    found = []
    for some in in_steps(part_ids):
        statement = store.visible(STOCK_ITEMS, principal).where(
            stock_items.c.part_id.in_(some), stock_items.c.quantity > 0
        )
        found += [one.record for one in load(session, STOCK_ITEMS, statement)]
    return tuple(
        OnHand(one.part_id, one.quantity, one.size)
        for one in sorted(found, key=lambda item: item.id)
        if one.part_id is not None
    )
