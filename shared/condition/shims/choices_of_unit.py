"""Which shims one unit takes: from its pack, what was measured over it, and what is on hand."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from shared.assemblies.model import Characteristic, Position
from shared.condition.model import Finding, Gauge, ShimPack, ShimStage, Unit
from shared.condition.shim_place import ShimPlace
from shared.condition.shims.asked import ShimPackAsked, StockShim
from shared.condition.shims.calculation import shim_pack
from shared.condition.shims.found import ShimPackFound
from shared.condition.shims.measured_over import Over, measured_over
from shared.errors import InvalidInput
from shared.quantities import Quantity


@dataclass(frozen=True, slots=True)
class OnHand:
    """Pieces of a part on a shelf; ``size``: their thickness where it was measured or noted."""

    part_id: str
    quantity: int
    size: Quantity | None = None


@dataclass(frozen=True, slots=True)
class ShimRecords:
    """What is on record of a unit's shims, each by rising id.

    ``stock``: the shop's, of the parts that are sold for the places. ``acceptance_probability``:
    how likely is likely enough for the shop.
    """

    unit: Unit
    places: tuple[ShimPlace, ...]
    positions: tuple[Position, ...]
    characteristics: tuple[Characteristic, ...]
    findings: tuple[Finding, ...]
    gauges: tuple[Gauge, ...]
    packs: tuple[ShimPack, ...]
    stock: tuple[OnHand, ...]
    acceptance_probability: Decimal


@dataclass(frozen=True, slots=True)
class MeasuredNow:
    """What has just been measured at one place, instead of a finding."""

    value: Quantity
    is_without_shims: bool = False


@dataclass(frozen=True, slots=True)
class ShimChoice:
    """One place of one unit. ``found`` None: too little is on record, ``missing`` says what."""

    place: ShimPlace
    found: ShimPackFound | None
    missing: tuple[str, ...]
    cautions: tuple[str, ...]
    pack: ShimPack | None
    finding_id: str | None


def choices_of_unit(records: ShimRecords, now: MeasuredNow | None) -> tuple[ShimChoice, ...]:
    """Return the choice at each place, in the order of the places.

    Packs come from the range that what is set has when new, from the newest pack on record and the
    finding that counts today, derived ones too. A finding made before another pack was fitted says
    nothing of that pack. ``now`` takes the place of the finding. Nothing missing is made up.
    """
    gauges = {gauge.id: gauge for gauge in records.gauges}
    return tuple(_choice(records, place, gauges, now) for place in records.places)


def _choice(
    records: ShimRecords,
    place: ShimPlace,
    gauges: Mapping[str, Gauge],
    now: MeasuredNow | None,
) -> ShimChoice:
    sets = next(
        (one for one in records.characteristics if one.id == place.sets_characteristic_id), None
    )
    packs = _packs_at(records.packs, place)
    pack = packs[-1] if packs else None
    over = _over(records, sets, packs, gauges, now)
    missing = [*_missing_of_design(place, sets), *over.missing]
    is_bare = now is not None and now.is_without_shims
    if pack is None and not is_bare:
        missing.append("no as-found pack is recorded: measure and record the shims that sat there")
    found = None
    if sets is not None and over.value is not None and not missing:
        asked = _asked(records, place, sets, over.value, None if is_bare else pack)
        try:
            found = shim_pack(asked)
        except InvalidInput as error:
            missing.append(error.detail)
    if not place.sizes:
        missing.append("no thicknesses are on record for the place")
    cautions = (*over.cautions, *_cautions(records, place))
    return ShimChoice(place, found, tuple(missing), cautions, pack, over.finding_id)


def _over(
    records: ShimRecords,
    sets: Characteristic | None,
    packs: Sequence[ShimPack],
    gauges: Mapping[str, Gauge],
    now: MeasuredNow | None,
) -> Over:
    if now is not None:
        return Over(now.value)
    if sets is None:
        return Over(None)
    over = measured_over(sets, records.characteristics, records.findings, gauges)
    if over.found_at is None:
        return over
    day = over.found_at.date()
    fitted = [one for one in packs if one.stage is ShimStage.AS_FITTED]
    later = [one for one in fitted if one.recorded_on > day]
    same_day = [one for one in fitted if one.recorded_on == day]
    has_older = any(one.recorded_on <= day for one in packs if one not in same_day)
    if later or (same_day and has_older):
        why = f"{sets.name} has not been measured since the pack was fitted: measure it again"
        return Over(None, missing=(why,))
    return over


def _packs_at(packs: Sequence[ShimPack], place: ShimPlace) -> list[ShimPack]:
    """Return the packs of a place, the newest last; of one day the fitted one."""

    def is_here(pack: ShimPack) -> bool:
        if pack.shim_place_id is not None:
            return pack.shim_place_id == place.id
        is_of_position = pack.position_id in (None, place.position_id)
        same_name = pack.place.casefold().split() == place.name.casefold().split()
        return is_of_position and same_name and pack.effect is place.effect

    here = [pack for pack in packs if is_here(pack)]
    return sorted(here, key=lambda one: (one.recorded_on, one.stage is ShimStage.AS_FITTED, one.id))


def _missing_of_design(place: ShimPlace, sets: Characteristic | None) -> list[str]:
    if sets is None:
        return ["what the shims set is not on record as a characteristic of the design"]
    ends = (sets.new_lower, sets.new_upper)
    if any(end is None for end in ends):
        which = "no limits" if ends == (None, None) else "a limit on one side only"
        return [f"{sets.name} has {which} when new: the range is not known, ask for it"]
    return []


def _asked(
    records: ShimRecords,
    place: ShimPlace,
    sets: Characteristic,
    measured: Quantity,
    pack: ShimPack | None,
) -> ShimPackAsked:
    asked = ShimPackAsked(
        clearance_lower=sets.new_lower,
        clearance_upper=sets.new_upper,
        effect=place.effect,
        factor=place.factor,
        sizes=place.sizes,
        stock=_stock(records.stock, place),
        rule=place.rule,
        acceptance_probability=records.acceptance_probability,
    )
    if pack is None:
        return replace(asked, measured_gap=measured)
    return replace(asked, measured=measured, old_pack=pack.shims)


def _stock(stock: Sequence[OnHand], place: ShimPlace) -> tuple[StockShim, ...]:
    """Return the pieces on hand of the parts sold for the place; what is measured goes before."""
    sizes = {size.part_id: size.thickness for size in place.sizes if size.part_id is not None}
    return tuple(
        StockShim(one.size or sizes[one.part_id], one.quantity, one.part_id)
        for one in stock
        if one.part_id in sizes
    )


def _cautions(records: ShimRecords, place: ShimPlace) -> list[str]:
    names = {one.id: one.name for one in records.positions}
    told = [names[one] for one in place.disturbed_by_position_ids if one in names]
    said = ["shims stay with the unit they were measured in"]
    if told:
        said.append(
            f"what was measured before a part was renewed at {', '.join(told)} does not hold after:"
            " measure again with the new part in place"
        )
    return said
