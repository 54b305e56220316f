"""Which shims one unit takes: from its pack, what was measured over it, and what is on hand."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, time, timedelta
from decimal import Decimal
from typing import Final

from shared.assemblies.model import Characteristic, Position, RenewalRule
from shared.condition.conformity import conformity_probability
from shared.condition.derived import derived_findings
from shared.condition.model import (
    ConformityRule,
    Finding,
    Gauge,
    ShimPack,
    ShimStage,
    Unit,
    Verdict,
)
from shared.condition.shim_place import ShimPlace
from shared.condition.shims.asked import ShimPackAsked, StockShim
from shared.condition.shims.calculation import shim_pack
from shared.condition.shims.found import ShimAdvice, ShimPackFound
from shared.condition.shims.lengths import doubt_mm, exact_mm, told
from shared.condition.shims.measured_over import Over, measured_over
from shared.condition.standing import standing_findings
from shared.condition.told import chance_text
from shared.condition.verdict import judge_position
from shared.errors import InvalidInput
from shared.quantities import Quantity

_LAST_ZONE_HOURS: Final = 12
"""A day ends last at UTC-12."""


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
    how likely is likely enough for the shop, ``rule`` how it judges. ``recorded_at``: when a pack
    came on record, by its id.
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
    rule: ConformityRule = ConformityRule.ISO_14253_1
    recorded_at: Mapping[str, datetime] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class MeasuredNow:
    """What has just been measured at one place, instead of a finding."""

    value: Quantity
    is_without_shims: bool = False


@dataclass(frozen=True, slots=True)
class ShimChoice:
    """One place of one unit. ``found`` None: too little is on record, ``missing`` says what.

    ``sets``: the name of what the shims set; None: that is not on record.
    """

    place: ShimPlace
    sets: str | None
    found: ShimPackFound | None
    missing: tuple[str, ...]
    cautions: tuple[str, ...]
    pack: ShimPack | None
    finding_id: str | None


def choices_of_unit(records: ShimRecords, now: MeasuredNow | None) -> tuple[ShimChoice, ...]:
    """Return the choice at each place, in the order of the places.

    Packs come from the range that what is set has when new, from the newest pack on record and the
    finding that counts today, derived ones too. A finding made before another pack was fitted says
    nothing of that pack. A fitted pack over which the setting was measured as surely within the
    range stays. ``now`` takes the place of the finding. Nothing missing is made up.
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
        else:
            found = _kept(found, asked, None if is_bare else pack)
    if not place.sizes:
        missing.append("no thicknesses are on record for the place")
    is_fitted = pack is not None and pack.stage is ShimStage.AS_FITTED
    cautions = (
        *over.cautions,
        *(() if is_fitted or now is not None else _of_old_parts(records, place, gauges)),
        *_cautions(records, place),
    )
    name = None if sets is None else sets.name
    return ShimChoice(place, name, found, tuple(missing), cautions, pack, over.finding_id)


def _kept(found: ShimPackFound, asked: ShimPackAsked, pack: ShimPack | None) -> ShimPackFound:
    """Leave a fitted pack alone where what was measured over it lies in the range surely enough.

    How thick the shims are does not matter to that: the setting itself was measured.
    """
    if pack is None or pack.stage is not ShimStage.AS_FITTED or asked.measured is None:
        return found
    u = doubt_mm(asked.measured)
    if u is None or asked.clearance_lower is None or asked.clearance_upper is None:
        return found
    size = exact_mm(asked.measured, "/measured")
    ends = [exact_mm(end, "") for end in (asked.clearance_lower, asked.clearance_upper)]
    probability = conformity_probability(float(size), u, float(ends[0]), float(ends[1]))
    if probability < float(asked.acceptance_probability):
        return found
    unit = asked.measured.unit
    reason = (
        f"{told(size, unit)} was measured over the pack fitted on {pack.recorded_on}, and lies"
        f" within {told(ends[0], unit)} to {told(ends[1], unit)}, probability"
        f" {chance_text(probability, u)}: the pack stays"
    )
    return replace(
        found,
        advice=ShimAdvice.OLD_PACK_STAYS,
        reason=reason,
        packs=(),
        nearest_below=None,
        nearest_above=None,
        to_measure=(),
        assumptions=(),
        cautions=(),
    )


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
    fitted = [one for one in packs if one.stage is ShimStage.AS_FITTED]

    def is_since(found_at: datetime) -> bool:
        return all(_is_since(one, records.recorded_at.get(one.id), found_at) for one in fitted)

    standing = standing_findings(records.findings)
    since = [one for one in standing if one.characteristic_id != sets.id or is_since(one.found_at)]
    over = measured_over(sets, records.characteristics, since, gauges)
    has_older = len(since) < len(standing)
    if (over.value is None and has_older) or (
        over.found_at is not None and not is_since(over.found_at)
    ):
        why = f"{sets.name} has not been measured since the pack was fitted: measure it again"
        return Over(None, missing=(why,))
    return over


def _is_since(pack: ShimPack, recorded_at: datetime | None, found_at: datetime) -> bool:
    """Whether something was found after a pack was fitted, wherever the shop is.

    What was found once the pack was on record was; or what was found once the day is over on which
    it was fitted.
    """
    if recorded_at is not None and found_at >= recorded_at:
        return True
    ends = datetime.combine(pack.recorded_on + timedelta(days=1), time(), UTC)
    return found_at >= ends + timedelta(hours=_LAST_ZONE_HOURS)


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


def _of_old_parts(records: ShimRecords, place: ShimPlace, gauges: Mapping[str, Gauge]) -> list[str]:
    """Say so where a part that the setting depends on is going to be another one."""
    positions = {one.id: one for one in records.positions}
    found = (
        *records.findings,
        *derived_findings(records.characteristics, records.findings, gauges),
    )
    said = []
    for position_id in place.disturbed_by_position_ids:
        position = positions.get(position_id)
        if position is None:
            continue
        is_due = position.renewal_rule is RenewalRule.ALWAYS
        judged = judge_position(
            position_id,
            [one for one in records.characteristics if one.position_id == position_id],
            found,
            records.rule,
            float(records.acceptance_probability),
            pieces=position.quantity,
            gauges=gauges,
        )
        if is_due or judged.verdict is Verdict.NONCONFORMING:
            said.append(position.name)
    if not said:
        return []
    verb = "is" if len(said) == 1 else "are"
    return [
        f"{', '.join(said)} {verb} to be renewed: packs for what was measured over the old part are"
        " a first idea of what to have at hand, not what to fit"
    ]


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
