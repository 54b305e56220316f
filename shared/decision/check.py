"""Whether a snapshot makes sense: every reference holds, every amount and number is possible.

The first thing wrong is told, with a JSON pointer into the snapshot and the mend. The database
refuses most of this on entry already; a snapshot written by hand has only this.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from decimal import Decimal
from typing import Any, Protocol

from shared.assemblies.model import Characteristic, OperationKind, Ruling, SetKind
from shared.condition.model import Finding, Unit, UnitKind
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from shared.money import Money
from shared.quantities import Quantity, kind_of, standard_uncertainty
from shared.sourcing.calendar import check_calendar, clock_time, local_time
from shared.sourcing.lead_time import check_quotes
from shared.sourcing.model import Offer, OfferKind

DEEPEST_TREE = 20
MOST_POSITIONS = 500
LARGEST_AMOUNT_MINOR = 10**9
LARGEST_NUMBER = Decimal(10) ** 9
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.-]{0,63}")
_CURRENCY = re.compile(r"[A-Z]{3}")


class _WithId(Protocol):
    @property
    def id(self) -> str: ...


def check_snapshot(snapshot: Snapshot) -> None:
    """Raise InvalidInput for the first thing in a snapshot that cannot be so."""
    _check_numbers(snapshot, snapshot.settings.currency)
    _check_ids(snapshot)
    _check_settings(snapshot)
    _check_job(snapshot)
    _check_tree(snapshot)
    _check_groups(snapshot)
    _check_sets(snapshot)
    _check_operations(snapshot)
    _check_parts(snapshot)
    _check_units(snapshot)
    _check_characteristics(snapshot)
    _check_findings(snapshot)
    _check_offers(snapshot)


# --- every number ---------------------------------------------------------------------------


def _check_numbers(snapshot: Snapshot, currency: str) -> None:
    if not _CURRENCY.fullmatch(currency):
        raise InvalidInput(
            "/settings/currency",
            f"{currency[:20]!r} is not a currency code.",
            'Give three capital letters of ISO 4217, such as "EUR".',
        )
    for pointer, value in _leaves("", snapshot):
        if isinstance(value, Money):
            _check_money(pointer, value, currency)
        elif isinstance(value, Decimal):
            _check_decimal(pointer, value)
        elif isinstance(value, Quantity):
            _check_quantity(pointer, value)


def _leaves(pointer: str, value: Any) -> Iterator[tuple[str, Any]]:
    if isinstance(value, Money | Quantity) or not is_dataclass(value):
        if isinstance(value, tuple):
            for index, item in enumerate(value):
                yield from _leaves(f"{pointer}/{index}", item)
        else:
            yield pointer, value
        return
    for field in fields(value):
        yield from _leaves(f"{pointer}/{field.name}", getattr(value, field.name))


def _check_money(pointer: str, money: Money, currency: str) -> None:
    if money.currency != currency:
        raise InvalidInput(
            f"{pointer}/currency",
            f"The amount is in {money.currency}, the shop counts in {currency}.",
            f"Give the amount in {currency}; currencies are never mixed silently.",
            "currency-mixed",
        )
    if not money.amount.is_finite() or money.amount < 0:
        raise InvalidInput(
            f"{pointer}/amount", f"{money.amount} is not an amount.", "Give an amount of 0 or more."
        )
    try:
        minor = money.minor
    except InvalidInput as error:
        raise error.below(pointer) from None
    if minor > LARGEST_AMOUNT_MINOR:
        raise InvalidInput(
            f"{pointer}/amount",
            f"{money.amount} {currency} is more than a line may hold.",
            f"Give at most {Money.of_minor(LARGEST_AMOUNT_MINOR, currency).amount}.",
        )


def _check_decimal(pointer: str, value: Decimal) -> None:
    if not value.is_finite() or not 0 <= value <= LARGEST_NUMBER:
        raise InvalidInput(
            pointer, f"{value} is out of range.", f"Give a number from 0 to {LARGEST_NUMBER:f}."
        )


def _check_quantity(pointer: str, quantity: Quantity) -> None:
    try:
        standard_uncertainty(quantity, kind_of(quantity.unit))
    except InvalidInput as error:
        raise error.below(pointer) from None


# --- references -----------------------------------------------------------------------------


def _records(snapshot: Snapshot) -> Mapping[str, Iterable[_WithId]]:
    return {
        "positions": snapshot.positions,
        "access_groups": snapshot.access_groups,
        "position_sets": snapshot.position_sets,
        "operations": snapshot.operations,
        "characteristics": snapshot.characteristics,
        "parts": snapshot.parts,
        "claims": snapshot.claims,
        "units": snapshot.units,
        "findings": snapshot.findings,
        "suppliers": snapshot.suppliers,
        "offers": snapshot.offers,
    }


def _check_ids(snapshot: Snapshot) -> None:
    for name, records in _records(snapshot).items():
        seen: set[str] = set()
        for index, record in enumerate(records):
            if not _ID.fullmatch(record.id):
                raise InvalidInput(
                    f"/{name}/{index}/id",
                    f"{record.id[:70]!r} is not an id.",
                    "Use letters, digits, '_', '.' and '-', at most 64, a letter or digit first.",
                )
            if record.id in seen:
                raise InvalidInput(
                    f"/{name}/{index}/id",
                    f"The id {record.id} is there twice.",
                    "Give every record an id of its own.",
                    "duplicate",
                )
            seen.add(record.id)


def _require(pointer: str, record_id: str | None, known: Iterable[_WithId], what: str) -> None:
    if record_id is not None and all(record.id != record_id for record in known):
        raise InvalidInput(
            pointer,
            f"There is no {what} {record_id}.",
            f"Name a {what} that is in the snapshot, or leave the member out.",
            "reference-unknown",
        )


def _check_settings(snapshot: Snapshot) -> None:
    settings = snapshot.settings
    try:
        check_calendar(settings.calendar)
    except InvalidInput as error:
        raise error.below("/settings/calendar") from None
    if not 0 < settings.calendar.bench_hours_per_day <= 24:
        raise InvalidInput(
            "/settings/calendar/bench_hours_per_day",
            f"{settings.calendar.bench_hours_per_day} bench hours a day are not possible.",
            "Give more than 0 and at most 24.",
        )
    rules = settings.rules
    if not Decimal("0.5") < rules.conformity_probability < 1:
        raise InvalidInput(
            "/settings/rules/conformity_probability",
            f"{rules.conformity_probability} is not a probability to accept by.",
            'Give more than 0.5 and less than 1, such as "0.95".',
        )
    _check_probability("/settings/rules/promise_confidence", rules.promise_confidence)
    if settings.warranty.warranty_hours <= 0:
        raise InvalidInput(
            "/settings/warranty/warranty_hours", "It is 0.", "Give the warranty in running hours."
        )
    for name in ("common_cause_known", "common_cause_unknown"):
        _check_chance(f"/settings/warranty/{name}", getattr(settings.warranty, name))
    for index, record in enumerate(settings.comeback_experience):
        pointer = f"/settings/comeback_experience/{index}"
        _check_belief(pointer, record.prior_mean, record.prior_weight)
        _check_count(f"{pointer}/comebacks", record.comebacks, record.trials)
    for index, salvage in enumerate(settings.salvage_experience):
        pointer = f"/settings/salvage_experience/{index}"
        _check_belief(pointer, salvage.prior_mean, salvage.prior_weight)
        _check_count(f"{pointer}/good", salvage.good, salvage.trials)
    for index, life in enumerate(settings.life_records):
        for name in ("shape", "scale_hours"):
            if getattr(life, name) <= 0:
                raise InvalidInput(
                    f"/settings/life_records/{index}/{name}", "It is 0.", "Give more than 0."
                )


def _check_belief(pointer: str, mean: Decimal, weight: Decimal) -> None:
    if not 0 < mean < 1:
        raise InvalidInput(
            f"{pointer}/prior_mean",
            f"{mean} leaves no doubt; experience never does.",
            "Give more than 0 and less than 1.",
        )
    if weight <= 0:
        raise InvalidInput(
            f"{pointer}/prior_weight", "It is 0.", "Give the number of cases the prior counts as."
        )


def _check_count(pointer: str, count: int, trials: int) -> None:
    if not 0 <= count <= trials:
        raise InvalidInput(
            pointer, f"{count} of {trials} is not possible.", "Give from 0 to the number of trials."
        )


def _check_probability(pointer: str, value: Decimal) -> None:
    if not 0 < value <= 1:
        raise InvalidInput(
            pointer, f"{value} is not a probability to promise by.", "Give more than 0, at most 1."
        )


def _check_chance(pointer: str, value: Decimal) -> None:
    if not 0 <= value <= 1:
        raise InvalidInput(pointer, f"{value} is not a chance.", "Give a number from 0 to 1.")


def _check_job(snapshot: Snapshot) -> None:
    job = snapshot.job
    _require("/job/unit_id", job.unit_id, snapshot.units, "unit")
    _require("/job/core_unit_id", job.core_unit_id, snapshot.units, "unit")
    unit = next(u for u in snapshot.units if u.id == job.unit_id)
    if unit.kind is UnitKind.DONOR:
        raise InvalidInput(
            "/job/unit_id",
            f"Unit {unit.id} is a donor; a job's own unit cannot be one.",
            "Name the unit that is to be put right.",
            "donor-is-own-unit",
        )
    if unit.assembly_id != snapshot.assembly.id:
        raise InvalidInput(
            "/job/unit_id",
            f"Unit {unit.id} is of assembly {unit.assembly_id}, not {snapshot.assembly.id}.",
            "Give the assembly of the job's unit.",
        )
    today = local_time(snapshot.as_of, snapshot.settings.calendar).date()
    if job.required_by_on is not None and job.required_by_on < today:
        raise InvalidInput(
            "/job/required_by_on",
            f"{job.required_by_on} lies before {today}, the day of this answer (as_of).",
            "Give a date that is still to come, or leave it out.",
            "date-past",
        )
    if job.confidence is not None:
        _check_probability("/job/confidence", job.confidence)
    if job.horizon_hours is not None and job.horizon_hours <= 0:
        raise InvalidInput(
            "/job/horizon_hours", "It is 0.", "Give the running hours for which it must last."
        )
    for index, group_id in enumerate(job.opened_group_ids):
        _require(f"/job/opened_group_ids/{index}", group_id, snapshot.access_groups, "access group")


# --- the assembly ---------------------------------------------------------------------------


def _check_tree(snapshot: Snapshot) -> None:
    if len(snapshot.positions) > MOST_POSITIONS:
        raise InvalidInput(
            "/positions",
            f"There are {len(snapshot.positions)} positions.",
            f"Give at most {MOST_POSITIONS}.",
        )
    parents = {p.id: p.parent_id for p in snapshot.positions}
    for index, position in enumerate(snapshot.positions):
        at = f"/positions/{index}"
        _require_own(f"{at}/assembly_id", position.assembly_id, snapshot)
        _require(f"{at}/parent_id", position.parent_id, snapshot.positions, "position")
        _require(f"{at}/part_id", position.part_id, snapshot.parts, "part")
        _require(
            f"{at}/access_group_id",
            position.access_group_id,
            snapshot.access_groups,
            "access group",
        )
        if position.quantity < 1:
            raise InvalidInput(f"{at}/quantity", "It is below 1.", "Give at least 1.")
        ruling = position.serviceability
        if ruling.ruling is Ruling.REPLACE_AS_ASSEMBLY and not ruling.reason:
            raise InvalidInput(
                f"{at}/serviceability/reason",
                "A ruling 'replace-as-assembly' stands without its reason.",
                "Say why: matched and set with a rig, stored energy, factory-sealed, ...",
            )
        _check_climb(f"{at}/parent_id", position.id, parents, DEEPEST_TREE)


def _require_own(pointer: str, assembly_id: str, snapshot: Snapshot) -> None:
    if assembly_id != snapshot.assembly.id:
        raise InvalidInput(
            pointer,
            f"It belongs to assembly {assembly_id}; the snapshot is of {snapshot.assembly.id}.",
            "Leave out what belongs to other assemblies.",
        )


def _check_climb(pointer: str, start: str, parents: Mapping[str, str | None], deepest: int) -> None:
    """Walk from a record to its root: no cycle, not deeper than allowed."""
    seen = {start}
    above = parents[start]
    while above is not None:
        if above in seen:
            raise InvalidInput(
                pointer,
                f"{start} lies inside itself, by way of {above}.",
                "Break the circle: something must lie directly in the assembly.",
                "cycle",
            )
        seen.add(above)
        if len(seen) > deepest:
            raise InvalidInput(
                pointer,
                f"{start} lies more than {deepest} levels deep.",
                f"Build the tree at most {deepest} levels deep.",
                "too-deep",
            )
        above = parents.get(above)


def _check_groups(snapshot: Snapshot) -> None:
    outer = {g.id: g.outer_group_id for g in snapshot.access_groups}
    for index, group in enumerate(snapshot.access_groups):
        at = f"/access_groups/{index}"
        _require_own(f"{at}/assembly_id", group.assembly_id, snapshot)
        _require(
            f"{at}/outer_group_id", group.outer_group_id, snapshot.access_groups, "access group"
        )
        _check_climb(f"{at}/outer_group_id", group.id, outer, DEEPEST_TREE)


def _check_sets(snapshot: Snapshot) -> None:
    matched: set[str] = set()
    for index, one in enumerate(snapshot.position_sets):
        at = f"/position_sets/{index}/position_ids"
        if len(set(one.position_ids)) < 2:
            raise InvalidInput(at, "A set of one binds nothing.", "Name at least two positions.")
        for place, position_id in enumerate(one.position_ids):
            _require(f"{at}/{place}", position_id, snapshot.positions, "position")
            if one.kind is SetKind.MATCHED and position_id in matched:
                raise InvalidInput(
                    f"{at}/{place}",
                    f"Position {position_id} is in two matched sets.",
                    "Put positions that belong together into one set.",
                )
        if one.kind is SetKind.MATCHED:
            matched.update(one.position_ids)


def _check_operations(snapshot: Snapshot) -> None:
    for index, operation in enumerate(snapshot.operations):
        at = f"/operations/{index}"
        _require(f"{at}/position_id", operation.position_id, snapshot.positions, "position")
        _require(
            f"{at}/access_group_id",
            operation.access_group_id,
            snapshot.access_groups,
            "access group",
        )
        if operation.p90_hours < operation.p50_hours:
            raise InvalidInput(
                f"{at}/p90_hours",
                f"{operation.p90_hours} h is less than the P50 of {operation.p50_hours} h.",
                "The P90 is the longer of the two.",
            )
        opens = operation.kind in (OperationKind.OPEN, OperationKind.CLOSE)
        if opens and operation.access_group_id is None:
            raise InvalidInput(
                f"{at}/access_group_id",
                f"An operation of the kind '{operation.kind}' names no access group.",
                "Name the group that it opens or closes.",
            )


def _check_parts(snapshot: Snapshot) -> None:
    _require("/assembly/part_id", snapshot.assembly.part_id, snapshot.parts, "part")
    for index, part in enumerate(snapshot.parts):
        for place, line in enumerate(part.kit_lines):
            at = f"/parts/{index}/kit_lines/{place}"
            _require(f"{at}/part_id", line.part_id, snapshot.parts, "part")
            if line.part_id == part.id:
                raise InvalidInput(
                    f"{at}/part_id", "A kit cannot hold itself.", "Name what it holds.", "cycle"
                )
            if line.quantity < 1:
                raise InvalidInput(f"{at}/quantity", "It is below 1.", "Give at least 1.")
    for index, claim in enumerate(snapshot.claims):
        at = f"/claims/{index}"
        _require(f"{at}/part_id", claim.part_id, snapshot.parts, "part")
        _require(f"{at}/stand_in_part_id", claim.stand_in_part_id, snapshot.parts, "part")


# --- units and findings ---------------------------------------------------------------------


def _check_units(snapshot: Snapshot) -> None:
    today = local_time(snapshot.as_of, snapshot.settings.calendar).date()
    for index, unit in enumerate(snapshot.units):
        at = f"/units/{index}"
        low, high = unit.lower_hours, unit.upper_hours
        if low is not None and high is not None and high < low:
            raise InvalidInput(f"{at}/upper_hours", f"{high} is less than {low}.", "Swap the two.")
        if unit.kind is UnitKind.DONOR:
            _check_donor(at, unit)
            if unit.released_on is None or unit.released_on > today:
                raise InvalidInput(
                    f"{at}/released_on",
                    f"Donor {unit.id} is not released on {today}.",
                    "A unit is no donor until it is bought or released in writing: give the date, "
                    "or leave the unit out.",
                    "donor-not-released",
                )


def _check_donor(at: str, unit: Unit) -> None:
    terms = unit.donor
    if terms is None:
        raise InvalidInput(
            f"{at}/donor", "A donor has no terms.", "Give its price, or its worth if it is owned."
        )
    if not terms.is_owned and terms.price is None:
        raise InvalidInput(
            f"{at}/donor/price", "A donor to be bought has no price.", "Give its price."
        )
    if terms.strip_p90_hours < terms.strip_p50_hours:
        raise InvalidInput(
            f"{at}/donor/strip_p90_hours",
            f"{terms.strip_p90_hours} h is less than the P50 of {terms.strip_p50_hours} h.",
            "The P90 is the longer of the two.",
        )
    try:
        check_quotes(terms.p50_days, terms.p90_days)
    except InvalidInput as error:
        raise error.below(f"{at}/donor") from None


def _check_characteristics(snapshot: Snapshot) -> None:
    for index, one in enumerate(snapshot.characteristics):
        at = f"/characteristics/{index}"
        _require(f"{at}/position_id", one.position_id, snapshot.positions, "position")
        kinds = {kind_of(limit.unit) for limit in limits_of(one)}
        if len(kinds) > 1:
            raise InvalidInput(
                at,
                f"Its limits are of different kinds: {', '.join(sorted(kinds))}.",
                "Give all limits of a characteristic in units of one kind.",
                "unit-wrong-dimension",
            )


def limits_of(characteristic: Characteristic) -> tuple[Quantity, ...]:
    """The limits that a characteristic has."""
    limits = (
        characteristic.new_lower,
        characteristic.new_upper,
        characteristic.service_lower,
        characteristic.service_upper,
    )
    return tuple(limit for limit in limits if limit is not None)


def _check_findings(snapshot: Snapshot) -> None:
    characteristics = {c.id: c for c in snapshot.characteristics}
    for index, finding in enumerate(snapshot.findings):
        at = f"/findings/{index}"
        _require(f"{at}/unit_id", finding.unit_id, snapshot.units, "unit")
        _require(f"{at}/position_id", finding.position_id, snapshot.positions, "position")
        characteristic = characteristics.get(finding.characteristic_id)
        if characteristic is None or characteristic.position_id != finding.position_id:
            raise InvalidInput(
                f"{at}/characteristic_id",
                f"Characteristic {finding.characteristic_id} is not one of position "
                f"{finding.position_id} of this assembly.",
                "Name a characteristic of the position that was inspected.",
                "reference-unknown",
            )
        _check_said(at, finding, characteristic)


def _check_said(at: str, finding: Finding, characteristic: Characteristic) -> None:
    if (finding.measured is None) == (finding.grade is None):
        raise InvalidInput(
            f"{at}/measured",
            "A finding gives either a measured quantity or a grade.",
            "Give one of the two.",
        )
    limits = limits_of(characteristic)
    if finding.measured is not None and limits:
        kind, wanted = kind_of(finding.measured.unit), kind_of(limits[0].unit)
        if kind != wanted:
            raise InvalidInput(
                f"{at}/measured/unit",
                f"{finding.measured.unit} is a unit of {kind}; '{characteristic.name}' is a "
                f"{wanted}.",
                f"Give the reading in a unit of {wanted}, such as {limits[0].unit}.",
                "unit-wrong-dimension",
            )


# --- suppliers and offers -------------------------------------------------------------------


def _check_offers(snapshot: Snapshot) -> None:
    for index, supplier in enumerate(snapshot.suppliers):
        if supplier.order_cutoff is not None:
            try:
                clock_time(supplier.order_cutoff, "order_cutoff")
            except InvalidInput as error:
                raise error.below(f"/suppliers/{index}") from None
    for index, offer in enumerate(snapshot.offers):
        at = f"/offers/{index}"
        _require(f"{at}/supplier_id", offer.supplier_id, snapshot.suppliers, "supplier")
        _require(f"{at}/part_id", offer.part_id, snapshot.parts, "part")
        _require(f"{at}/position_id", offer.position_id, snapshot.positions, "position")
        _check_target(at, offer)
        _check_chance(f"{at}/reject_probability", offer.reject_probability)
        if offer.core is not None:
            _check_chance(f"{at}/core/acceptance_probability", offer.core.acceptance_probability)
            if offer.core.refund is not None and offer.core.refund.minor > offer.core.deposit.minor:
                raise InvalidInput(
                    f"{at}/core/refund",
                    "More would come back than was paid.",
                    "Give at most the deposit.",
                )
        try:
            check_quotes(offer.p50_days, offer.p90_days)
        except InvalidInput as error:
            raise error.below(at) from None


def _check_target(at: str, offer: Offer) -> None:
    """Goods name a part or an assembly, a service a position or an assembly; exactly one."""
    other = offer.part_id if offer.kind is OfferKind.GOODS else offer.position_id
    wrong = offer.position_id if offer.kind is OfferKind.GOODS else offer.part_id
    named = [target for target in (other, offer.assembly_id) if target is not None]
    if wrong is not None or len(named) != 1:
        wanted = "part_id" if offer.kind is OfferKind.GOODS else "position_id"
        raise InvalidInput(
            f"{at}/{wanted}",
            f"An offer of {offer.kind} must name exactly one of {wanted} and assembly_id.",
            "Name what the price is for.",
        )
