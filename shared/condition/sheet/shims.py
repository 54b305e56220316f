"""Shims on an inspection sheet: where they sit, and whether the pack found there is on record."""

from collections.abc import Mapping

from shared.condition.model import ShimPack, ShimStage
from shared.condition.sheet.model import SheetRecords, SheetShims
from shared.condition.shim_place import ShimPlace


def shims_at(place: ShimPlace, records: SheetRecords, names: Mapping[str, str]) -> SheetShims:
    """Return what is said of a place for shims; ``names``: of all characteristics, by id."""
    pack = as_found_at(place, records)
    if pack is None:
        advice = "measure each shim with a micrometer as it comes out, and record the pack"
    else:
        advice = f"the pack recorded on {pack.recorded_on} stays with this unit"
    return SheetShims(
        shim_place_id=place.id,
        name=place.name,
        effect=place.effect,
        sets_characteristic_id=place.sets_characteristic_id,
        sets=names.get(place.sets_characteristic_id or ""),
        seating=place.seating,
        as_found_pack_id=None if pack is None else pack.id,
        advice=advice,
    )


def as_found_at(place: ShimPlace, records: SheetRecords) -> ShimPack | None:
    """Return the newest pack recorded as found there on this unit; None: none is.

    Where a job is asked for, one that was found in another job does not count. A pack that names no
    place of the design counts by its own words for it.
    """
    return max(
        (one for one in records.shim_packs if _is_found_at(one, place, records)),
        key=lambda one: (one.recorded_on, one.id),
        default=None,
    )


def _is_found_at(pack: ShimPack, place: ShimPlace, records: SheetRecords) -> bool:
    if pack.stage is not ShimStage.AS_FOUND or pack.unit_id != records.unit.id:
        return False
    if records.job_id is not None and pack.job_id not in (None, records.job_id):
        return False
    if pack.shim_place_id is not None:
        return pack.shim_place_id == place.id
    is_there = pack.position_id in (None, place.position_id)
    return is_there and pack.place.casefold().split() == place.name.casefold().split()
