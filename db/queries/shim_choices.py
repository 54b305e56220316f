"""What the choice of a unit's shims is told from."""

from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from db.models.assemblies import characteristics, positions
from db.models.condition import findings, shim_packs
from db.models.fasteners import stock_items
from db.models.shims import shim_places
from db.queries import store
from db.queries.access import Principal
from db.queries.assemblies import CHARACTERISTICS, POSITIONS
from db.queries.condition import FINDINGS, GAUGES, SHIM_PACKS, UNITS
from db.queries.fasteners import STOCK_ITEMS
from db.queries.mapping import in_steps, load
from db.queries.shim_places import SHIM_PLACES
from db.queries.shop_settings import newest_settings
from shared.condition.shim_place import ShimPlace
from shared.condition.shims.choices_of_unit import OnHand, ShimRecords
from shared.decision.settings import DecisionRules
from shared.errors import InvalidInput


def shim_records(
    session: Session, principal: Principal, unit_id: str, shim_place_id: str | None
) -> ShimRecords:
    """Return a unit with its places for shims (or one of them), packs, findings, and the stock.

    The number of statements does not depend on the number of records. Raises NotFound for an
    unknown unit, InvalidInput ("/shim_place_id") for a place that its design has not.
    """
    unit = store.read(session, principal, UNITS, unit_id).record
    here = select(positions.c.id).where(positions.c.assembly_id == unit.assembly_id)
    at = select(shim_places).where(shim_places.c.position_id.in_(here))
    if shim_place_id is not None:
        at = at.where(shim_places.c.id == shim_place_id)
    places = [one.record for one in load(session, SHIM_PLACES, at.order_by(shim_places.c.id))]
    if shim_place_id is not None and not places:
        raise InvalidInput(
            "/shim_place_id",
            f"The unit's design has no place for shims '{shim_place_id}'.",
            f"Give a place of the assembly '{unit.assembly_id}', or leave it out.",
            "reference-unknown",
        )
    of_design = select(positions).where(positions.c.assembly_id == unit.assembly_id)
    looked_at = select(characteristics).where(characteristics.c.position_id.in_(here))
    of_unit = store.visible(FINDINGS, principal).where(findings.c.unit_id == unit_id)
    packed = store.visible(SHIM_PACKS, principal).where(shim_packs.c.unit_id == unit_id)
    packs = load(session, SHIM_PACKS, packed.order_by(shim_packs.c.id))
    settings = newest_settings(session, principal)
    rules = DecisionRules() if settings is None else settings.rules
    return ShimRecords(
        unit,
        tuple(places),
        tuple(one.record for one in load(session, POSITIONS, of_design.order_by(positions.c.id))),
        tuple(
            one.record
            for one in load(session, CHARACTERISTICS, looked_at.order_by(characteristics.c.id))
        ),
        tuple(one.record for one in load(session, FINDINGS, of_unit.order_by(findings.c.id))),
        tuple(one.record for one in load(session, GAUGES, store.visible(GAUGES, principal))),
        tuple(one.record for one in packs),
        _on_hand(session, principal, places),
        rules.conformity_probability,
        rules.conformity_rule,
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
