"""Which inputs to move, in which direction, and in what order: the likely nearest first."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from shared.condition.model import Finding, Unit
from shared.condition.verdict import standing_findings
from shared.decision.building.build import Built
from shared.decision.building.charges import order_day
from shared.decision.building.planned import Bench, PlannedPosition
from shared.decision.building.wear import tells_wear
from shared.decision.planning.case import Plan
from shared.decision.result import BreakEvenKind
from shared.decision.snapshot import Snapshot
from shared.decision.weighing.exposure import Exposure, Key, Rough
from shared.decision.weighing.lead_slack import Delivery, lead_guess
from shared.decision.weighing.movable import (
    donor_lead_time,
    donor_price,
    freight,
    lead_time,
    offer_price,
    reading,
    replacement_cost,
)
from shared.decision.weighing.movable_chances import comeback_chance, life, proof_of
from shared.decision.weighing.nearness import nearness
from shared.decision.weighing.price_edges import price_edges, refuses_small_orders
from shared.decision.weighing.reading_zones import limits_of, range_of, scale_of, turn_guess
from shared.decision.weighing.what_if import Input
from shared.sourcing.model import Offer


@dataclass(frozen=True, slots=True)
class Candidate:
    """An input in one direction.

    ``near``: where it is estimated to change; how far that is, is its place in the order.
    ``guess``: estimated last value that holds; ``rival``: the sources of the plan that draws level
    there. ``edges``: values at which the cost may jump. ``may_turn_back``: a plan that takes the
    other's place on the way may be gone again farther on (an order that is refused, lives so short
    that all fail alike).
    ``planned`` and ``limits``: of a reading, the position that it is of and its limits.
    """

    input: Input
    is_up: bool
    is_chosen: bool
    near: Decimal | None = None
    guess: Decimal | None = None
    rival: tuple[str, ...] = ()
    edges: tuple[Decimal, ...] = ()
    may_turn_back: bool = False
    planned: PlannedPosition | None = None
    limits: tuple[Decimal, ...] = ()

    @property
    def distance(self) -> float | None:
        """Estimated distance to the change, by ``nearness.py``; None: no idea."""
        return None if self.near is None else nearness(self.input, self.near)


def candidates(
    snapshot: Snapshot, built: Built, best: Plan, rivals: Sequence[Plan]
) -> tuple[Candidate, ...]:
    """All inputs worth moving, by estimated distance: the nearest of each kind before all others.

    What has no estimate comes last. ``rivals`` are known plans.
    """
    exposure = Exposure(built)
    plan = exposure.of_plan(best)
    others = exposure.rivals(best, rivals)
    found = [
        *_by_key(snapshot, built, exposure, plan, others),
        *_proofs(snapshot, built, best),
        *_lead_times(snapshot, built, best),
        *_readings(snapshot, built),
    ]
    return _ordered(found)


def _ordered(found: Sequence[Candidate]) -> tuple[Candidate, ...]:
    nearest_first = sorted(found, key=_order)
    firsts: dict[BreakEvenKind, Candidate] = {}
    for one in nearest_first:
        if one.near is not None:
            firsts.setdefault(one.input.kind, one)
    chosen = set(map(id, firsts.values()))
    return (*firsts.values(), *(one for one in nearest_first if id(one) not in chosen))


def _order(one: Candidate) -> tuple[bool, float, bool, str, str, bool]:
    """Sort key; without an estimate the prices of what is not chosen come first."""
    distance = one.distance
    is_rival = one.input.kind is BreakEvenKind.PRICE and not one.is_chosen
    told = (one.input.subject, one.input.path, one.is_up)
    return distance is None, distance or 0.0, not is_rival, *told


def _by_key(
    snapshot: Snapshot, built: Built, exposure: Exposure, plan: Rough, others: Sequence[Rough]
) -> Iterator[Candidate]:
    """Prices, freight, chances and lives: chosen ones for the worse, others for the better."""
    for key in exposure.keys:
        is_chosen = key in plan.parts
        moved = _input(snapshot, key)
        if moved is None:
            continue
        # A longer life is for the better, a higher price or chance for the worse.
        is_up = is_chosen is not (key[0] == "life")
        near = exposure.nearest(plan, others, key)
        offer = _offer(snapshot, key[1]) if key[0] == "price" else None
        edges = () if offer is None else price_edges(snapshot, built, offer)
        is_refusable = offer is not None and refuses_small_orders(built, offer)
        guess = None
        if near is not None and moved.current > 0:
            guess = _drawn_level(moved, Decimal(repr(near.share)), key, is_up=is_up)
        yield Candidate(
            input=moved,
            is_up=is_up,
            is_chosen=is_chosen,
            near=guess if guess is None or guess >= moved.lowest else None,
            guess=None if guess is None or key[0] == "life" else max(Decimal(0), guess),
            rival=near.source_ids if near is not None else (),
            edges=edges,
            may_turn_back=not is_up and (key[0] == "life" or is_refusable),
        )


def _drawn_level(moved: Input, share: Decimal, key: Key, *, is_up: bool) -> Decimal | None:
    """Where amounts that hang on an input have moved by a share: in proportion with it.

    Those of failing in inverse proportion with a life. None: at no value; below 0: out of reach.
    """
    if key[0] != "life":
        return moved.current * (1 + share if is_up else 1 - share)
    if is_up and share >= 1:
        return None
    return moved.current / (1 - share if is_up else 1 + share)


def _input(snapshot: Snapshot, key: Key) -> Input | None:
    kind, name = key
    if kind == "price":
        return offer_price(snapshot, _offer(snapshot, name))
    if kind == "donor":
        return donor_price(snapshot, _unit(snapshot, name))
    if kind == "replacement":
        cost = snapshot.job.replacement_cost
        return None if cost is None else replacement_cost(snapshot, cost)
    if kind == "freight":
        return freight(snapshot, next(s for s in snapshot.suppliers if s.id == name))
    if kind == "chance":
        return comeback_chance(snapshot, snapshot.settings.comeback_experience[int(name)])
    return life(snapshot, snapshot.settings.life_records[int(name)])


def _offer(snapshot: Snapshot, offer_id: str) -> Offer:
    return next(offer for offer in snapshot.offers if offer.id == offer_id)


def _unit(snapshot: Snapshot, unit_id: str) -> Unit:
    return next(unit for unit in snapshot.units if unit.id == unit_id)


def _proofs(snapshot: Snapshot, built: Built, best: Plan) -> Iterator[Candidate]:
    """How often donors' parts prove good: for the worse where the plan counts on one."""
    proofs = {charge.id for charge in built.case.charges if charge.kind == "proof"}
    if not proofs:
        return
    is_chosen = not proofs.isdisjoint(best.charge_ids)
    for experience in snapshot.settings.salvage_experience:
        yield Candidate(proof_of(snapshot, experience), not is_chosen, is_chosen)


def _lead_times(snapshot: Snapshot, built: Built, best: Plan) -> Iterator[Candidate]:
    """Lead times of what the plan awaits; of no bearing where no day is asked and none costs."""
    if built.deadline is None and not built.case.waiting:
        return
    days = built.case.last_day if built.deadline is None else built.deadline
    for moved, delivery in _deliveries(snapshot, built, best, days):
        guess = lead_guess(built, best, delivery)
        near = None if guess is None else max(guess, moved.current)
        yield Candidate(moved, is_up=True, is_chosen=True, near=near, guess=guess)


def _deliveries(
    snapshot: Snapshot, built: Built, best: Plan, days: int
) -> Iterator[tuple[Input, Delivery]]:
    """What the plan awaits: goods and services of its offers, donors that have to be fetched.

    What arrives in one parcel is asked once, by its slowest line: the others do not hold it up.
    """
    bench, draft = built.bench, built.draft
    parcels: dict[str, list[tuple[Offer, Delivery]]] = {}
    for charge_id in best.charge_ids:
        kind, _, rest = charge_id.partition(":")
        if kind == "delivery" and rest in bench.offers:
            offer = _offer(snapshot, rest)
            day = order_day(draft, bench.suppliers[offer.supplier_id])
            quotes = Delivery(charge_id, offer.p50_days, offer.p90_days, day)
            parcel = draft.charges[charge_id].shipment or charge_id
            parcels.setdefault(parcel, []).append((offer, quotes))
        elif kind == "donor" and (terms := bench.units[rest].donor) and not terms.is_owned:
            quotes = Delivery(charge_id, terms.p50_days, terms.p90_days, draft.order_day_of[None])
            yield donor_lead_time(snapshot, _unit(snapshot, rest), days), quotes
    for lines in parcels.values():
        offer, quotes = max(lines, key=_slowness)
        yield lead_time(snapshot, offer, days, sets_parcel=len(lines) > 1), quotes


def _slowness(line: tuple[Offer, Delivery]) -> tuple[Decimal, Decimal, str, str]:
    offer, quotes = line
    return quotes.order_day + quotes.p90_days, quotes.p50_days, offer.description, offer.id


def readings_left_out(built: Built) -> int:
    """Readings on the unit's own parts that are not moved, each both ways.

    What they tell besides their own verdict, a measure that follows or a rate of wear, turns more
    than a verdict, and not one way only.
    """
    bench = built.bench
    standing = standing_findings(bench.findings_of(bench.unit.id))
    return 2 * sum(one.measured is not None and _tells_more(bench, one) for one in standing)


def _tells_more(bench: Bench, finding: Finding) -> bool:
    """Whether a reading tells a rate of wear, or a measure follows from it."""
    return tells_wear(bench, finding) or any(
        term.characteristic_id == finding.characteristic_id
        for one in bench.derivations
        if one.derivation is not None
        for term in one.derivation.terms
    )


def _readings(snapshot: Snapshot, built: Built) -> Iterator[Candidate]:
    """Readings on the unit's own parts, both ways."""
    bench = built.bench
    characteristics = {one.id: one for one in snapshot.characteristics}
    by_position: dict[str, list[PlannedPosition]] = {}
    for planned in bench.planned:
        for position in (planned.position, *bench.inside(planned.position)):
            if position is planned.position or not bench.is_resolved(planned.position):
                by_position.setdefault(position.id, []).append(planned)
    for finding in standing_findings(bench.findings_of(bench.unit.id)):
        measured, characteristic = finding.measured, characteristics.get(finding.characteristic_id)
        places = [
            planned
            for planned in by_position.get(finding.position_id, ())
            if planned.piece is None or finding.piece in (None, planned.piece)
        ]
        if measured is None or characteristic is None or not places:
            continue
        if _tells_more(bench, finding):
            continue
        limits = limits_of(characteristic, measured.unit)
        if not limits:
            continue
        name = f"{characteristic.name}, {places[0].name}"
        lowest, highest = range_of(finding, limits)
        scale = scale_of(finding, limits, bench.gauges)
        moved = reading(snapshot, finding, name, lowest, highest, scale)
        for is_up in (False, True):
            yield Candidate(
                moved,
                is_up,
                is_chosen=True,
                near=turn_guess(finding, limits, bench.gauges, is_up=is_up),
                planned=places[0],
                limits=limits,
            )
