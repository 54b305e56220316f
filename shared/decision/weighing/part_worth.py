"""What each part of the job's unit would count for if the unit were taken apart."""

from dataclasses import dataclass, replace
from decimal import Decimal

from shared.assemblies.model import OperationKind, RenewalRule
from shared.condition.model import Verdict
from shared.decision.building.build import Built
from shared.decision.building.buying import purchase_alone
from shared.decision.building.draft import p50_hours
from shared.decision.building.planned import PlannedPosition
from shared.decision.building.position_facts import candidates_for, valid_offers
from shared.decision.building.taken import why_gone, why_set_broken
from shared.decision.settings import SourceKind
from shared.decision.telling.figures import amount_told, percent_down
from shared.decision.weighing.proof_chance import ProofChance, chance_of
from shared.money import Money, times
from shared.sourcing.model import OfferKind


@dataclass(frozen=True, slots=True)
class Find:
    """One position of the unit as a find; amounts in minor units of the shop's cost.

    ``why_not``: why it is not kept whatever it is worth. ``offer``: the cheapest offer of the part,
    or of one that may stand in for it, per piece as it is bought; ``demand``: pieces that other
    open jobs want, at whatever position.
    """

    planned: PlannedPosition
    part_id: str | None
    chance: Decimal | None
    basis: str
    offer: int
    demand: int
    shelf_percent: Decimal
    hours: Decimal
    labour: int
    has_hours: bool
    currency: str
    why_not: str | None
    note: str = ""

    def worth(self, wanted: int) -> int:
        """What all its pieces count for when so many of them are wanted by other jobs."""
        chance = self.chance or Decimal(0)
        each = times(self.offer, chance)
        shelved = times(self.offer, chance * self.shelf_percent / 100)
        return wanted * each + (self.planned.quantity - wanted) * shelved

    def told(self, wanted: int) -> str:
        """Where its worth comes from."""
        offer = Money.of_minor(self.offer, self.currency)
        pieces = self.planned.quantity
        shelf = pieces - wanted
        told = [f"{amount_told(offer)} a piece"]
        told += [f"{wanted} wanted by other jobs"] if wanted else []
        told += [f"{shelf} for the shelf"] if shelf else []
        if self.chance == 1:
            told.append("conforms")
        elif self.chance is not None:
            told.append(f"good with a chance of {percent_down(self.chance)} ({self.basis})")
        return ", ".join(told) + (f"; {self.note}" if self.note else "")


def finds(built: Built) -> tuple[Find, ...]:
    """Every planned position of the unit as a find, in the order of the positions.

    In a matched set the least chance of its members holds for each, and one that may not be kept
    bars the others. Where a kit of the whole set is cheaper than its members, or they are not on
    offer by themselves, the first member counts for the kit.
    """
    demands = {one.part_id: one.quantity for one in built.bench.snapshot.demands}
    found = {planned.id: _find(built, planned, demands) for planned in built.bench.planned}
    for one in built.case.matched_sets:
        members = [found[position_id] for position_id in one.position_ids]
        found.update((find.planned.id, find) for find in _as_set(built, members))
    return tuple(
        replace(find, why_not=find.why_not or _why_worthless(find)) for find in found.values()
    )


def _find(built: Built, planned: PlannedPosition, demands: dict[str, int]) -> Find:
    bench, pricing = built.bench, built.draft.pricing
    operations = bench.work_at(planned, OperationKind.HARVEST)
    hours = p50_hours(operations)
    chance, why_not = _chance(built, planned)
    part = bench.part_of(planned.position)
    return Find(
        planned=planned,
        part_id=part.id if part else None,
        chance=chance.chance,
        basis=chance.basis,
        offer=_cheapest(built, planned) if part else 0,
        demand=demands.get(part.id, 0) if part else 0,
        shelf_percent=bench.settings.policy.shelf_worth_percent,
        hours=hours,
        labour=pricing.labour_cost(hours),
        has_hours=bool(operations),
        currency=bench.settings.currency,
        why_not=_why_barred(built, planned) or why_not,
    )


def _chance(built: Built, planned: PlannedPosition) -> tuple[ProofChance, str | None]:
    """Chance that what comes out is good, taken whole; why it is not kept for its condition."""
    bench = built.bench
    judgement = bench.judgements[planned.id]
    if planned.piece is None:
        judgement = bench.judge_whole(planned.position, bench.unit.id)
    chance = chance_of(bench.snapshot, judgement, bench.part_kind(planned.position))
    if judgement.verdict is Verdict.NONCONFORMING:
        bad = judgement.nonconforming
        return chance, f"nonconforming: {'; '.join(bad)}"
    if chance.chance is None:
        return chance, f"{judgement.verdict}, not counted: {chance.basis}"
    return chance, None


def _why_barred(built: Built, planned: PlannedPosition) -> str | None:
    bench, position = built.bench, planned.position
    policy = bench.settings.policy
    if bench.unit.reason_retired in policy.barred_donor_reasons:
        return f"the shop's policy takes nothing from units retired by {bench.unit.reason_retired}"
    if planned.holds_safety_critical and SourceKind.SALVAGED not in policy.safety_critical_sources:
        return "safety-critical: the shop's policy takes no salvaged part there"
    if position.renewal_rule is RenewalRule.ALWAYS:
        return "renewed always: nobody wants one that has run"
    if position.renewal_rule is RenewalRule.SELECT_FIT:
        return "chosen by measuring: it stays with the unit it was measured for"
    return why_gone(bench, bench.unit, position) or why_set_broken(bench, bench.unit, position)


def _why_worthless(find: Find) -> str | None:
    if find.part_id is None:
        return "no part is on record there: not counted"
    if find.offer == 0 and not find.note:
        return "no offer on record tells what it is worth: not counted"
    return None


def _cheapest(built: Built, planned: PlannedPosition) -> int:
    """What a piece costs where it is bought cheapest, in minor units; 0: nothing is on offer.

    Of every part that the planner would take at the position, one for one and by itself: the part,
    its standard designation, its later number, and what an accepted claim lets stand in for it.
    """
    found, _ = candidates_for(built.draft, planned)
    pieces = planned.quantity
    alike = [one for one in found if one.ratio == 1 and not one.companions]
    prices = [_piece_cost(built, candidate.part.id, pieces) for candidate in alike]
    return min((price for price in prices if price), default=0)


def _piece_cost(built: Built, part_id: str, pieces: int) -> int:
    """Cheapest cost of a piece where so many are bought that day, packs and least quantities kept.

    0: none can be had.
    """
    offers = valid_offers(built.draft, part_id=part_id)
    alone = [purchase_alone(offer, pieces) for offer in offers if offer.kind is OfferKind.GOODS]
    return min((one.piece_cost for one in alone if one is not None), default=0)


def _as_set(built: Built, members: list[Find]) -> list[Find]:
    barred = next((find for find in members if find.why_not is not None), None)
    if barred is not None:
        return [
            find
            if find.why_not is not None
            else replace(
                find,
                why_not=f"its matched set is not whole: of {barred.planned.name}, {barred.why_not}",
            )
            for find in members
        ]
    least = min(members, key=lambda find: find.chance or Decimal(0))
    members = [replace(find, chance=least.chance, basis=least.basis) for find in members]
    kit = _kit_price(built, members)
    singly = sum(find.offer * find.planned.quantity for find in members)
    if kit is None or (all(find.offer for find in members) and singly <= kit):
        return members
    first, *others = members
    return [
        replace(
            first,
            offer=kit // first.planned.quantity,
            note="the set counts as the kit in which it is on offer",
        ),
        *(replace(f, offer=0, note=f"counted with {first.planned.name}") for f in others),
    ]


def _kit_price(built: Built, members: list[Find]) -> int | None:
    """Cheapest valid offer of a kit that holds every member's part; None: there is none."""
    wanted = {find.part_id for find in members}
    prices = [
        _piece_cost(built, part.id, 1)
        for part in built.bench.parts.values()
        if wanted <= {line.part_id for line in part.kit_lines}
    ]
    return min((price for price in prices if price), default=None)
