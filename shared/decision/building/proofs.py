"""Sources that have yet to prove good, parts from donors and services that may fail: what then.

Such a source carries the chance q that it proves good. When it does not, the cheapest source that
needs no donor takes its place, ordered on the day on which the part is judged: its cost counts
with 1 - q, and its delivery with 1 - q in the chance to be ready. One q per matched set.
Source: planning method of this project.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from shared.condition.model import Unit
from shared.decision.building import charges
from shared.decision.building.arrivals import good_by_day
from shared.decision.building.buying import order_extra, packs_alone
from shared.decision.building.draft import Draft, Proof
from shared.decision.building.planned import WHOLE
from shared.decision.building.pricing import total
from shared.decision.planning.case import (
    CHANCE_ONE,
    AmountLine,
    Charge,
    CostClass,
    LeadTable,
    Source,
)
from shared.decision.settings import Permission, SourceKind
from shared.decision.telling.figures import percent_up
from shared.money import times
from shared.sourcing.model import Offer

_NO_FALLBACK = frozenset(
    {
        SourceKind.KEEP,
        SourceKind.SALVAGED,
        SourceKind.REWORK,
        SourceKind.PART_BY_PART,
        SourceKind.SEND_OUT,
        SourceKind.RETIRE,
    }
)


@dataclass(frozen=True, slots=True)
class Fallback:
    """What takes the place of something that proves bad, in full: freight, kit, terms included."""

    what: str
    price: int
    cost: int
    billed_price: int
    offers: tuple[tuple[Offer, int], ...]
    """What is ordered, with the pieces of each that must prove good."""
    bench_minutes: int = 0
    """Work that it takes, at the P90."""


def add_proofs(draft: Draft) -> None:
    """Settle every source that has yet to prove good against its fallback.

    Called once all other sources are known. Without a fallback the source is barred, unless the
    shop's policy allows it; then the job may simply not be ready, with 1 - q.
    """
    by_proof: dict[str, list[str]] = {}
    for source in draft.sources.values():
        for charge in source.charges:
            if charge in draft.proof_donor:
                by_proof.setdefault(charge, []).append(source.id)
    known: dict[tuple[str, ...], Fallback | None] = {}
    for key, source_ids in sorted(by_proof.items()):
        chance = min(draft.proof_chances[source_id] for source_id in source_ids)
        if chance == 1:
            _drop_charge(draft, key, source_ids)
            continue
        judged = _donor_judged_day(draft, draft.bench.units[draft.proof_donor[key]], source_ids)
        positions = tuple(sorted(draft.sources[source_id].position_id for source_id in source_ids))
        if positions not in known:
            known[positions] = cheapest_fallback(draft, positions)
        _add_proof(draft, key, sorted(source_ids), chance, judged, known[positions])
    for source_id, offer_id, pieces in draft.rejects:
        if source_id in draft.sources:  # else left out meanwhile: its matched set is incomplete
            _add_service_proof(draft, source_id, draft.bench.offers[offer_id], pieces)


def _add_service_proof(draft: Draft, source_id: str, offer: Offer, pieces: int) -> None:
    """A service that may fail on each piece; one that fails calls for the fallback in full.

    What comes back spoilt is no core: nothing is credited for it.
    """
    key = f"proof:{offer.id}:{source_id}"
    source = draft.sources[source_id]
    draft.sources[source_id] = replace(source, charges=(*source.charges, key))
    judged = _arrival_p90(draft, draft.charges[f"delivery:{offer.id}"])
    chance = float((1 - offer.reject_probability) ** pieces)
    fallback = cheapest_fallback(draft, [source.position_id], has_core=False)
    if fallback is not None and source.position_id == WHOLE:
        fallback = _with_scrap(draft, fallback)
    _add_proof(draft, key, [source_id], chance, judged, fallback)


def _with_scrap(draft: Draft, fallback: Fallback) -> Fallback:
    """The spoilt unit stays with the shop; nothing else of such a plan pays for taking it away."""
    price, cost = (total(draft.pricing.disposal(), is_price) for is_price in (True, False))
    return replace(
        fallback,
        price=fallback.price + price,
        cost=fallback.cost + cost,
        billed_price=fallback.billed_price + price,
    )


def _drop_charge(draft: Draft, key: str, source_ids: Sequence[str]) -> None:
    for source_id in source_ids:
        source = draft.sources[source_id]
        kept = tuple(charge for charge in source.charges if charge != key)
        draft.sources[source_id] = replace(source, charges=kept)


def _donor_judged_day(draft: Draft, donor: Unit, source_ids: Sequence[str]) -> int:
    charge = draft.charges[f"donor:{donor.id}"]
    work = charge.bench_minutes + sum(draft.sources[s].bench_minutes for s in source_ids)
    return _arrival_p90(draft, charge) + max(1, charges.bench_days(draft, work))


def _arrival_p90(draft: Draft, charge: Charge) -> int:
    table = draft.lead_tables.get(charge.lead_table_id or "")
    if table is None:
        return 0
    wanted = CHANCE_ONE * 9 // 10
    days = (day for day, chance in enumerate(table.chance_by_day) if chance >= wanted)
    return next(days, len(table.chance_by_day))


def _add_proof(
    draft: Draft,
    key: str,
    source_ids: list[str],
    chance: float,
    judged_day: int,
    fallback: Fallback | None,
) -> None:
    policy = draft.bench.settings.policy
    if fallback is None and policy.harvest_without_fallback is Permission.BARRED:
        for source_id in source_ids:
            facts = draft.facts.pop(source_id)
            position_id = draft.sources.pop(source_id).position_id
            draft.bar(
                facts.subject(f"{facts.position_name} {facts.description}"),
                position_id,
                "it may prove bad, and nothing else on offer could take its place",
            )
        return
    names = ", ".join(draft.facts[source_id].position_name for source_id in source_ids)
    lines: tuple[AmountLine, ...] = ()
    table = tuple([round(chance * CHANCE_ONE)] * (draft.last_day + 1))
    if fallback is not None:
        failing = Decimal(repr(round(1 - chance, 12)))  # 3 % is not told as 3.1 %
        lines = (
            AmountLine(
                CostClass.FALLBACK,
                f"if {names} proves bad ({percent_up(failing)}): {fallback.what}",
                times(fallback.cost, failing),
                times(fallback.price, failing),
                is_billed=False,
            ),
        )
        planned = sum(draft.sources[source_id].bench_minutes for source_id in source_ids)
        longer = charges.bench_days(draft, max(0, fallback.bench_minutes - planned))
        table = _proof_table(draft, chance, judged_day, fallback.offers, longer)
    draft.lead_tables[key] = LeadTable(key, table)
    draft.charges[key] = Charge(key, "proof", f"{names} proves good", lines, lead_table_id=key)
    draft.proofs[key] = Proof(
        chance,
        fallback.price if fallback else None,
        fallback.cost if fallback else None,
        fallback.billed_price if fallback else None,
        fallback.what if fallback else None,
    )


def _proof_table(
    draft: Draft,
    chance: float,
    judged_day: int,
    offers: Sequence[tuple[Offer, int]],
    longer: int,
) -> tuple[int, ...]:
    """q + (1 - q) x chance that the fallback, ordered on the day of judgement, is here and good.

    ``longer``: days by which it takes more work than what proved bad; it counts as here that much
    later.
    """
    # Nothing takes its place before that day, not even what lies on a supplier's shelf.
    here = [float(day >= judged_day) for day in range(draft.last_day + 1)]
    for offer, pieces in offers:
        arrival = good_by_day(draft, offer, judged_day, pieces)
        here = [a * b / CHANCE_ONE for a, b in zip(here, arrival, strict=True)]
    here = [*[0.0] * longer, *here][: len(here)]
    return tuple(int((chance + (1 - chance) * p) * CHANCE_ONE) for p in here)


def cheapest_fallback(
    draft: Draft, position_ids: Sequence[str], *, has_core: bool = True
) -> Fallback | None:
    """The cheapest way to fill these positions without donor, rework or keeping what is in there.

    None when some position has none. In a matched set all positions come from one set offer.
    ``has_core`` False: no core goes back, so none is credited.
    """
    per_position = [
        [
            source
            for source in sorted(draft.sources.values(), key=lambda s: s.id)
            if source.position_id == position_id and source.kind not in _NO_FALLBACK
        ]
        for position_id in position_ids
    ]
    if not all(per_position):
        return None
    found = [
        fallback
        for sources in _candidates(per_position)
        if (fallback := _fallback(draft, sources, has_core)) is not None
    ]
    if draft.counts_price:
        return min(found, key=lambda f: (f.price, f.cost), default=None)
    return min(found, key=lambda f: (f.cost, f.price), default=None)


def _candidates(per_position: Sequence[Sequence[Source]]) -> list[tuple[Source, ...]]:
    if len(per_position) == 1:
        return [(source,) for source in per_position[0]]
    units = {source.matched_unit for source in per_position[0]}
    return [
        tuple(next(s for s in sources if s.matched_unit == unit) for sources in per_position)
        for unit in sorted(u for u in units if u is not None)
        if all(any(s.matched_unit == unit for s in sources) for sources in per_position)
    ]


def _fallback(draft: Draft, sources: Sequence[Source], has_core: bool) -> Fallback | None:
    """Sources with all that they order, bought by themselves; None: such an order is refused."""
    needed = _needed(draft, sources)
    lines = [
        line
        for source in sources
        for line in source.lines
        if has_core or line.cost_class is not CostClass.CORE_CREDIT
    ]
    values: dict[str, int] = {}
    counted = [pair for source in sources for pair in source.goods_values]
    counted += [pair for charge in needed for pair in charge.goods_values]
    for order, value in counted:
        values[order] = values.get(order, 0) + value
    lines += _pooled_lines(draft, sources, values)
    price = cost = 0
    for charge in needed:
        if charge.kind in ("opening", "disposal"):
            continue  # paid anyway
        lines += charge.lines
        extra = order_extra(charge, values.get(charge.id, 0), counts_price=draft.counts_price)
        if extra is None:
            return None
        price, cost = price + extra[0], cost + extra[1]
    facts = draft.facts[sources[0].id]
    by = f" from {facts.supplier_name}" if facts.supplier_name else ""
    return Fallback(
        what=f"{facts.description}{by}",
        price=price + sum(line.price for line in lines),
        cost=cost + sum(line.cost for line in lines),
        billed_price=price + sum(line.price for line in lines if line.is_billed),
        offers=_ordered(draft, sources, needed),
        bench_minutes=sum(source.bench_minutes for source in sources),
    )


def _ordered(
    draft: Draft, sources: Sequence[Source], needed: Sequence[Charge]
) -> tuple[tuple[Offer, int], ...]:
    """Offers behind sources and the charges they need, with the pieces that may prove bad."""
    keys = {source.id for source in sources} | {charge.id for charge in needed}
    pieces: dict[str, int] = {}
    for owner, offer_id, count in (*draft.doubtful, *draft.doubtful_kits):
        if owner in keys:
            pieces[offer_id] = pieces.get(offer_id, 0) + count
    facts = [draft.facts[source.id] for source in sources]
    named = {one.offer_id or "" for one in facts} | {a.offer.id for one in facts for a in one.along}
    offer_ids = sorted(named - {""})
    return tuple((draft.bench.offers[key], pieces.get(key, 1)) for key in offer_ids)


def _needed(draft: Draft, sources: Sequence[Source]) -> list[Charge]:
    """Charges that sources need, directly or through another, by id.

    Choosing shims anew is left out: whatever fills a position disturbs the same of them, and they
    are chosen once, when all is fitted, so that what proves bad has them on its own account.
    """
    needed: set[str] = set()
    waiting = [
        charge for source in sources for charge in source.charges if charge not in draft.shims
    ]
    while waiting:
        key = waiting.pop()
        if key not in needed:
            needed.add(key)
            waiting.extend(draft.charges[key].requires)
    return [draft.charges[key] for key in sorted(needed)]


def _pooled_lines(
    draft: Draft, sources: Sequence[Source], values: dict[str, int]
) -> list[AmountLine]:
    """What stock items cost these sources alone; adds their goods value to ``values``."""
    pieces: dict[str, int] = {}
    for source in sources:
        for key, count in source.purchases:
            pieces[key] = pieces.get(key, 0) + count
    lines = []
    for key, count in sorted(pieces.items()):
        item = draft.items[key]
        packs, tier = packs_alone(item, count, counts_price=draft.counts_price)
        lines.append(AmountLine(CostClass.GOODS, item.label, packs * tier.cost, packs * tier.price))
        if item.order_charge is not None:
            values[item.order_charge] = values.get(item.order_charge, 0) + packs * tier.cost
    return lines
