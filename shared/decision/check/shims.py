"""Places for shims and shims on record: of this assembly, and of what is there."""

from shared.condition.shim_place import ShimPlace
from shared.condition.shim_place_check import MOST_PLACES, check_shim_place
from shared.decision.check.references import require, require_among
from shared.decision.check.units import limits_of
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from shared.quantities import kind_of
from shared.quantities.positive import check_positive


def check_shims(snapshot: Snapshot) -> None:
    """Refuse places that name what is not there or contradict themselves, and such packs."""
    if len(snapshot.shim_places) > MOST_PLACES:
        raise InvalidInput(
            "/shim_places",
            f"There are {len(snapshot.shim_places)} places for shims.",
            f"Give at most {MOST_PLACES}.",
            "too-many",
        )
    parts = {part.id for part in snapshot.parts}
    positions = {position.id for position in snapshot.positions}
    for index, place in enumerate(snapshot.shim_places):
        at = f"/shim_places/{index}"
        try:
            check_shim_place(place)
        except InvalidInput as error:
            raise error.below(at) from None
        require_among(f"{at}/position_id", place.position_id, positions, "position")
        for number, position_id in enumerate(place.disturbed_by_position_ids):
            pointer = f"{at}/disturbed_by_position_ids/{number}"
            require_among(pointer, position_id, positions, "position")
        for member, part_id in _parts_of(place):
            require_among(f"{at}/{member}/part_id", part_id, parts, "part")
        _check_sets(at, place, snapshot)
    _check_packs(snapshot)


def _parts_of(place: ShimPlace) -> list[tuple[str, str]]:
    """The parts that a place names, with where they stand."""
    found = [
        (f"sizes/{number}", size.part_id)
        for number, size in enumerate(place.sizes)
        if size.part_id is not None
    ]
    return found + [
        (f"assortment/{number}", line.part_id) for number, line in enumerate(place.assortment)
    ]


def _check_sets(at: str, place: ShimPlace, snapshot: Snapshot) -> None:
    """What shims set is a length."""
    pointer = f"{at}/sets_characteristic_id"
    require(pointer, place.sets_characteristic_id, snapshot.characteristics, "characteristic")
    for one in snapshot.characteristics:
        if one.id == place.sets_characteristic_id:
            limits = limits_of(one)
            unit = limits[0].unit if limits else one.unit
            if unit is None or kind_of(unit) != "length":
                raise InvalidInput(
                    pointer,
                    f"'{one.name}' is no length.",
                    "Name what is measured in mm or in, or leave it out.",
                    "not-a-length",
                )


def _check_packs(snapshot: Snapshot) -> None:
    places = {place.id: place for place in snapshot.shim_places}
    for index, pack in enumerate(snapshot.shim_packs):
        at = f"/shim_packs/{index}"
        require(f"{at}/unit_id", pack.unit_id, snapshot.units, "unit")
        require(f"{at}/position_id", pack.position_id, snapshot.positions, "position")
        if pack.shim_place_id is not None:
            require_among(f"{at}/shim_place_id", pack.shim_place_id, places, "place for shims")
            if places[pack.shim_place_id].effect is not pack.effect:
                raise InvalidInput(
                    f"{at}/effect",
                    f"At {pack.shim_place_id} the effect is {places[pack.shim_place_id].effect};"
                    f" the pack says {pack.effect}.",
                    "Give the effect of the place.",
                    "effect-contradicts",
                )
        for number, shim in enumerate(pack.shims):
            check_positive(shim.thickness, "length", f"{at}/shims/{number}/thickness")
            if shim.quantity < 1:
                raise InvalidInput(
                    f"{at}/shims/{number}/quantity",
                    f"Got {shim.quantity}; wanted 1 or more.",
                    "Give how many of this thickness.",
                    "out-of-range",
                )
