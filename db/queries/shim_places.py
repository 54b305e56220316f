"""Places for shims in an assembly: mapping and checks."""

from typing import Any, Final

from sqlalchemy import Column, Table, func, select
from sqlalchemy.orm import Session

from db.models import shims as tables
from db.models.assemblies import characteristics, positions
from db.models.condition import shim_packs
from db.models.interchange import parts
from db.queries.access import Principal
from db.queries.characteristics import LIMITS, judged_by, measured_in
from db.queries.mapping import Children, Mapped
from db.queries.references import Row, known, own_position, position_of
from shared.assemblies.model import Characteristic
from shared.condition.model import ShimPack
from shared.condition.shim_place import ShimPlace
from shared.condition.shim_place_check import MOST_LINES, MOST_PLACES, check_shim_place
from shared.errors import InvalidInput
from shared.quantities import kind_of


def _check_shim_place(session: Session, principal: Principal, place: ShimPlace) -> None:
    check_shim_place(place)
    position = own_position(session, principal, place.position_id, "/position_id")
    assembly_id = position["assembly_id"]
    _check_few(session, place, assembly_id)
    if place.sets_characteristic_id is not None:
        _check_sets(session, principal, place.sets_characteristic_id, assembly_id)
    for index, position_id in enumerate(place.disturbed_by_position_ids):
        at = f"/disturbed_by_position_ids/{index}"
        position_of(session, principal, position_id, assembly_id, at)
    named = [(f"/sizes/{index}", size.part_id) for index, size in enumerate(place.sizes)]
    named += [(f"/assortment/{index}", line.part_id) for index, line in enumerate(place.assortment)]
    for at, part_id in named:
        if part_id is not None:
            known(session, principal, parts, part_id, f"{at}/part_id", "part")


def _check_few(session: Session, place: ShimPlace, assembly_id: str) -> None:
    """An assembly has no more places for shims, sizes and lines than a plan takes in."""
    table = tables.shim_places
    here = select(positions.c.id).where(positions.c.assembly_id == assembly_id)
    others = select(table.c.id).where(table.c.position_id.in_(here), table.c.id != place.id)

    def count(source: Table, column: Column[Any]) -> int:
        statement = select(func.count()).select_from(source).where(column.in_(others))
        return session.execute(statement).scalar_one()

    places = count(table, table.c.id)
    if places >= MOST_PLACES:
        raise InvalidInput(
            "/position_id",
            f"The assembly has {places} places for shims already.",
            f"An assembly takes {MOST_PLACES}; retire those that are not needed.",
            "too-many",
        )
    lines = len(place.sizes) + len(place.assortment)
    for child in (tables.shim_place_sizes, tables.shim_place_assortment):
        lines += count(child, child.c.shim_place_id)
    if lines > MOST_LINES:
        raise InvalidInput(
            "/sizes",
            f"The places of the assembly would have {lines} sizes and lines together.",
            f"Give so many that they are {MOST_LINES} at most: those that are used.",
            "too-many",
        )


def _check_sets(
    session: Session, principal: Principal, characteristic_id: str, assembly_id: str
) -> None:
    """What shims set is a length of the same assembly, measured against limits or derived."""
    at = "/sets_characteristic_id"
    row = known(
        session, principal, characteristics, characteristic_id, at, "characteristic", steady=True
    )
    own = known(session, principal, positions, row["position_id"], at, "position")
    if own["assembly_id"] != assembly_id:
        raise InvalidInput(
            at,
            f"The characteristic '{characteristic_id}' belongs to another assembly.",
            f"Give a characteristic of the assembly '{assembly_id}'.",
            "other-assembly",
        )
    if not _is_settable(row):
        raise InvalidInput(
            at,
            f"The characteristic '{characteristic_id}' is no length with limits or a derivation.",
            "Name one that is measured in mm or in against limits, or derived from others.",
            "not-a-length",
        )


def _is_settable(row: Row) -> bool:
    has_limits = any(row[f"{name}_unit"] is not None for name in LIMITS)
    unit = measured_in(row)
    is_length = unit is not None and kind_of(unit) == "length"
    return is_length and (has_limits or row["derivation_kind"] is not None)


def check_still_set(session: Session, after: Characteristic) -> None:
    """Check that a characteristic that shims set stays a length with limits, or derived.

    Raises InvalidInput.
    """
    has_limits = any(getattr(after, name) is not None for name in LIMITS)
    if judged_by(after) == "length" and (has_limits or after.derivation is not None):
        return
    table = tables.shim_places
    place_id = session.execute(
        select(func.min(table.c.id)).where(table.c.sets_characteristic_id == after.id)
    ).scalar()
    if place_id is not None:
        raise InvalidInput(
            "/new_lower",
            f"The shims of {place_id} set it, and it would be no length with limits.",
            "Keep its limits as lengths, or let the place for shims set another characteristic.",
            "fixed-member",
        )


def _check_shim_place_change(
    session: Session, principal: Principal, before: ShimPlace, after: ShimPlace
) -> None:
    """What shims do stays as the packs on record say."""
    if before.effect is after.effect:
        return
    is_others = shim_packs.c.shop_id != principal.shop_id
    found = session.execute(
        select(shim_packs.c.id, shim_packs.c.shop_id)
        .where(shim_packs.c.shim_place_id == after.id)
        .order_by(is_others, shim_packs.c.id)
        .limit(1)
    ).first()
    if found is not None:
        is_own = found.shop_id == principal.shop_id
        told = f"The shim pack {found.id} was" if is_own else "Shim packs of other shops were"
        raise InvalidInput(
            "/effect",
            f"{told} recorded at this place, with the other effect.",
            "Record a new place for shims; this one keeps its packs.",
            "fixed-member",
        )


def check_pack_place(
    session: Session, principal: Principal, pack: ShimPack, assembly_id: str
) -> None:
    """Check that a pack sits at a place of its unit's assembly, and does there what shims do."""
    if pack.shim_place_id is None:
        return
    at = "/shim_place_id"
    place = known(
        session,
        principal,
        tables.shim_places,
        pack.shim_place_id,
        at,
        "place for shims",
        steady=True,
    )
    own = known(session, principal, positions, place["position_id"], at, "position")
    if own["assembly_id"] != assembly_id:
        raise InvalidInput(
            at,
            f"The place for shims '{pack.shim_place_id}' belongs to another assembly.",
            f"Give a place for shims of the assembly '{assembly_id}'.",
            "other-assembly",
        )
    if pack.position_id is not None and pack.position_id != place["position_id"]:
        raise InvalidInput(
            "/position_id",
            f"The place for shims '{pack.shim_place_id}' is at another position.",
            f"Give '{place['position_id']}', or leave position_id out.",
            "other-position",
        )
    if pack.effect.value != place["effect"]:
        raise InvalidInput(
            "/effect",
            f"At this place the effect is {place['effect']}; the pack says {pack.effect.value}.",
            f"Give {place['effect']}, or another shim_place_id.",
            "effect-contradicts",
        )


SHIM_PLACES: Final = Mapped(
    ShimPlace,
    "shim-place",
    tables.shim_places,
    filters=("position_id", "sets_characteristic_id"),
    children=(
        Children("sizes", tables.shim_place_sizes, "shim_place_id"),
        Children("rule.digits", tables.shim_place_digits, "shim_place_id"),
        Children("assortment", tables.shim_place_assortment, "shim_place_id"),
        Children(
            "disturbed_by_position_ids",
            tables.shim_place_disturbers,
            "shim_place_id",
            column="position_id",
        ),
    ),
    check=_check_shim_place,
    check_change=_check_shim_place_change,
    fixed={"position_id": "Record the place at the other position, and retire this one."},
)
MAPPED: Final[tuple[Mapped[Any], ...]] = (SHIM_PLACES,)
